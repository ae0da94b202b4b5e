"""Slopes of the solver as data of a case."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from crosscurrent.postprocess.answers.slope_answers import ConductorSlope, slope_answer
from crosscurrent.solver.field.slopes import OutwardSlopes, OwnSlopes, Slope


def test_relative_slopes_and_circuits_without_current() -> None:
    row = np.array([2.0, np.nan])
    own = OwnSlopes(*(np.array(pair) for pair in ((4.0, -1.0), (0.1, 0.2), (-3.0, np.nan), (0.5, np.nan), (6.0, 0.0))))
    slope = Slope("gap", row, row, 3.0, row, row, 0.1, own)
    circuits = {"a": (4.0, 2.0), "b": (None, None)}
    found = slope_answer(slope, 0.5, "m", circuits, {"go": 6.0, "idle": 0.0})
    assert (found.circuits["a"].resistance_relative, found.circuits["a"].inductance_relative) == (0.25, 0.5)
    assert (found.circuits["b"].resistance, found.circuits["b"].resistance_relative) == (None, None)
    assert found.loss_relative == 0.25
    assert found.conductors == {
        "go": ConductorSlope(4.0, 0.1, 1 / 3, -3.0, 0.5, -0.25), "idle": ConductorSlope(-1.0, 0.2, None),
    }  # fmt: skip
    assert found.weight == 0.5
    out = ((8.0, np.nan), (0.2, np.nan), (2.0, 0.0))
    pushed = replace(own, outward=OutwardSlopes(*map(np.array, out)))
    axial = slope_answer(replace(slope, own=pushed), 0.5, "m", circuits, {"go": 6.0, "idle": 0.0}).conductors
    assert (axial["go"].outward, axial["go"].outward_error, axial["go"].outward_relative) == (8.0, 0.2, 2.0)
    assert axial["idle"].outward is None
