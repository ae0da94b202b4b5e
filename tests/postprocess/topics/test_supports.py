"""Words of forces and supports: spacing, bending, resonance, steel."""

from __future__ import annotations

from typing import Any

import pytest
from topic_answers import wire

from crosscurrent.postprocess.topics.supports import SupportsAnswer, measured, record, sentences, table, warnings
from crosscurrent.solver.field.beams import Bending, Push
from crosscurrent.solver.field.supports import SupportLoad


def load(**more: Any) -> SupportLoad:
    values = {
        "name": "bar", "frequency": 50.0, "push": Push((3.0, 4.0), 10.0, (0.0, 1.0)), "fault": 1000.0, "worst": 1000.0,
        "error": 1.0, "beam": Bending(1e-6, 60.0, 5.0), "spacing": 0.5, "span": 0.8, "resonance": None, "live": True,
    }  # fmt: skip
    return SupportLoad(**values | more)


def answer(*loads: SupportLoad, **more: Any) -> SupportsAnswer:
    return SupportsAnswer(**{"loads": loads, "conductors": (wire("bar"),), "fixing": "simple"} | more)


def test_a_row_and_what_limits_refer_to() -> None:
    assert table(answer(load())).rows == (
        ("bar", "50 Hz", "5.00 N/m", "10.0 N/m", "90 deg", "1.00 kN/m", "500 mm", "-"),
    )
    assert table(answer(load(live=False, frequency=0.0))).rows[0][:2] == ("bar (induced)", "direct current")
    (figure,) = measured(answer(load()))
    assert (figure.value, figure.of, figure.label, figure.load) == (1000.0, "bar", "bar at 50 Hz", "at the fault")
    (figure,) = measured(answer(load(fault=None)))
    assert figure.load == "in service"


def test_supports_too_far_apart_bend_the_bar() -> None:
    """Stress grows with the square of the spacing: (1 / 0.5)^2 x 80 MPa."""
    found = answer(load(), stress=80e6, spacing=1.0)
    assert next(sentences(found)).startswith("bar at 50 Hz: supports at most 500 mm apart keep")
    (said,) = warnings(found)
    assert said == "bar at 50 Hz: supports 1 m apart let it bend to 320 MPa, above the stated 80 MPa"
    assert not list(warnings(answer(load(), stress=80e6, spacing=0.4)))


def test_a_resonance_and_the_span_that_avoids_it() -> None:
    """130 Hz must rise to 1.3 x 100 Hz: it is there; 65 Hz must double, so the span falls by sqrt(2)."""
    found = answer(load(resonance=(65.0, 100.0)), shaking={50.0: {100.0: "twice the supply's"}})
    (said,) = warnings(found)
    assert "swing at 65 .. 100 Hz, close to twice the supply's (100 Hz): 566 mm or less keeps it 30 % above" in said
    assert not list(warnings(answer(load(resonance=(131.0, 131.0)), shaking={50.0: {100.0: "twice the supply's"}})))


def test_steel_and_conductors_without_a_force() -> None:
    found = answer(conductors=(wire("wall", "steel"),), fault_current=1e3, peak_factor=1.8)
    assert any("that wall takes" in said for said in warnings(found))
    assert any(said.endswith("stands out from the error bar: wall") for said in sentences(found))
    assert record(found)["moment_factor"] == pytest.approx(8)
