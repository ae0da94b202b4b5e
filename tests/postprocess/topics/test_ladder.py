"""Words of a ladder: limits of the impedance, a missed bound, the head of the netlist."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from topic_answers import wire

from crosscurrent.postprocess.topics.ladder import LadderAnswer, heading, record, sentences, table, warnings
from crosscurrent.solver.band.foster import FosterForm
from crosscurrent.solver.band.impedance_limits import impedance_limits
from crosscurrent.solver.band.ladder import Ladder
from crosscurrent.solver.field.problem import Circuit, Problem

ONE = np.eye(1)
# 1 / 1000 ohm/m at rest; a mode of 0.01 ohm/m at 1e4 rad/s adds 0.01 / 1e4 = 1 uH/m to the 2 uH/m of the surfaces
FOSTER = FosterForm(ONE, np.array([1e3]), 2e-6 * ONE, np.array([1e4]), np.array([[0.1]]))


def answer(back: tuple[str, ...] = ("b",), **more: Any) -> LadderAnswer:
    problem = Problem((wire("a"), wire("b")), (Circuit("feed", 1.0, ("a",), back),))
    values = {
        "problem": problem, "long": FOSTER, "ladder": Ladder(FOSTER, 50.0, 1e3, 0.002, 0.001),
        "limits": impedance_limits(FOSTER), "wanted": 0.01, "solver_error": 1e-4, "return_radius": 0.5,
    }  # fmt: skip
    return LadderAnswer(**values | more)


def test_limits_are_those_of_the_foster_form() -> None:
    found = record(answer())
    assert found["exact_resistance_at_rest_ohm_per_m"] == [[pytest.approx(1e-3)]]
    assert found["exact_inductance_at_rest_h_per_m"] == [[pytest.approx(3e-6)]]
    assert found["exact_inductance_at_surface_h_per_m"] == [[pytest.approx(2e-6)]]
    assert table(answer()).rows == (("feed", "1.000 mohm/m", "3.000 uH/m", "3.000 uH/m", "2.000 uH/m", "2.000 uH/m"),)


def test_a_bound_that_is_not_met_is_warned_of() -> None:
    assert not list(warnings(answer()))
    (said,) = warnings(answer(wanted=0.001))
    assert said == "the ladder reaches 0.2 % with 1 cell, not the wanted 0.1 %: narrow its band or widen the bound"
    assert "hold R within 0.2 % and L within 0.1 %" in next(sentences(answer()))


def test_the_head_tells_where_currents_without_a_back_return() -> None:
    closed, open_ended = list(heading(answer())), list(heading(answer(back=(), title="bench", length=2.0)))
    assert closed[0] == "conductors"
    assert closed[1].startswith("one metre of run")
    assert not any("circle of radius" in line for line in closed)
    assert open_ended[0] == "bench"
    assert open_ended[1].startswith("a run of 2 m")
    assert any("feed: return outside the section, on a circle of radius 500 mm" in line for line in open_ended)


def test_a_sweep_that_fell_short_is_told() -> None:
    assert "sweep fell short" in list(warnings(answer(past_bound=("sweep fell short",))))


def test_bundles_have_no_end_with_all_current_on_the_surfaces() -> None:
    """Their medium is known within the band: nothing is told of what lies beyond."""
    found = answer(limits=replace(impedance_limits(FOSTER), inductance_at_surface=None))
    assert record(found)["exact_inductance_at_surface_h_per_m"] is None
    assert table(found).rows[0][4] == "-"
    assert not any("all current on the surfaces" in line for line in heading(found))
