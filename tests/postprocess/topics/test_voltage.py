"""Words of voltage: what stands across a gap, and when it is too much."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from crosscurrent.postprocess.topics.voltage import (
    GapAnswer,
    VoltageAnswer,
    VoltageDrop,
    measured,
    record,
    sentences,
    tables,
    warnings,
)
from crosscurrent.solver.field.electrostatic import Capacitance
from crosscurrent.solver.field.voltage import VoltagePair

DROP = VoltageDrop("feed", 50.0, 2.0, 1.2, 1.6, 160.0, 0.01)


def gap(**more: Any) -> GapAnswer:
    capacitance = Capacitance(50e-12, 1e-5, None, np.zeros(0))  # type: ignore[arg-type]
    values = {
        "pair": VoltagePair("feed", ("a",), ("b",), ("feed",)), "frequency": 50.0, "gap": 0.01,
        "capacitance": capacitance, "voltage": 2.0, "resonance": None, "supply_stated": False, "change": None,
    }  # fmt: skip
    return GapAnswer(**values | more)


def answer(*gaps: GapAnswer, **more: Any) -> VoltageAnswer:
    return VoltageAnswer(10.0, [DROP], gaps, **more)


def test_the_larger_voltage_makes_the_field() -> None:
    assert gap().field == pytest.approx(200)
    assert gap(resonance=30.0).field == pytest.approx(3000)
    assert gap(resonance=1.0).field == pytest.approx(200)


def test_a_stated_limit_is_judged() -> None:
    for limit, within, say, word in ((300.0, True, sentences, "below"), (100.0, False, warnings, "above")):
        found = answer(gap(), field_limit=limit)
        assert record(found)["gaps"][0]["field_within_limit"] is within
        assert list(say(found)) == [
            f"feed at 50 Hz: 2.000 V across 10 mm is 0.2 V/mm in the mean, {word} the stated {limit / 1e3:g} V/mm"
        ]
        assert not list((warnings if within else sentences)(found))


def test_a_resonance_without_a_stated_supply_is_a_lower_bound() -> None:
    (said,) = sentences(answer(gap(resonance=30.0)))
    assert said.startswith("feed at 50 Hz: at resonance at least 30.00 V")
    assert not list(sentences(answer(gap(resonance=30.0, supply_stated=True))))


def test_a_resonance_that_the_drop_outdoes() -> None:
    (said,) = sentences(answer(gap(resonance=2.0)))
    assert said.startswith("feed at 50 Hz: at resonance at least 2.000 V, the drop at the stated current")
    (said,) = sentences(answer(gap(resonance=2.0, supply_stated=True)))
    assert "would not drive the stated current" in said


def test_a_filled_gap_has_more_capacitance() -> None:
    found = answer(gap(), relative_permittivity=4.0)
    assert record(found)["gaps"][0]["capacitance_filled_f_per_m"] == pytest.approx(200e-12)
    assert record(found)["gaps"][0]["total_capacitance_f"] == pytest.approx(500e-12)
    (said,) = sentences(found)
    assert said.endswith("the capacitance is 50.00 pF/m to 200.0 pF/m")


def test_a_current_that_changes_along_the_run_is_warned_of() -> None:
    assert not list(warnings(answer(gap(change=0.005))))
    (said,) = warnings(answer(gap(change=0.25)))
    assert "over 10 m" in said
    assert "changes the current by 25 %" in said


def test_without_gaps_there_is_the_drop_alone() -> None:
    assert len(tables(answer())) == 1
    assert len(tables(answer(gap()))) == 2
    assert tables(answer())[0].rows == (("feed", "50 Hz", "2.000 V", "1.200 V", "1.600 V", "160.0 var"),)
    (figure,) = measured(answer())
    assert (figure.value, figure.error, figure.of) == (2.0, 0.01, "feed")


def test_what_lies_below_its_bar_is_none() -> None:
    unsure = VoltageDrop("feed", 50.0, 2.0, 1e-3, 1e-2, 1.0, 3.0, 2e-3, 2e-2)
    faint = Capacitance(1e-15, 1.5, None, np.zeros(0))  # type: ignore[arg-type]
    drop, across = tables(VoltageAnswer(10.0, [unsure], [gap(error=2.5, capacitance=faint)]))
    assert drop.rows[0][2:] == ("none",) * 4
    assert [across.rows[0][k] for k in (3, 5, 6, 8)] == ["none"] * 4
