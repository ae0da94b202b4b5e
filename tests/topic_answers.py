"""Answers and conductors made by hand, for the tests of the words."""

from __future__ import annotations

from typing import Any

from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.shapes import round_bar
from crosscurrent.postprocess.answers.answers import CircuitAnswer
from crosscurrent.solver.field.problem import Conductor
from crosscurrent.solver.metals.materials import MATERIALS


def circuit(name: str = "feed", **more: Any) -> CircuitAnswer:
    """100 A through 1 mohm/m and 1 uH/m."""
    values = {
        "name": name, "current": 100 + 0j, "voltage": 0.1 + 0j, "resistance": 1e-3, "resistance_error": 1e-4,
        "inductance": 1e-6, "inductance_error": 1e-4, "reactance": 3e-4, "dc_resistance": 1e-3,
        "resistance_ratio": 1.0, "loss": 10.0, "own_loss": 10.0, "own_loss_error": 1e-4, "own_resistance": 1e-3,
        "own_resistance_error": 1e-4, "own_dc_resistance": 1e-3, "own_ratio": 1.0,
    }  # fmt: skip
    return CircuitAnswer(**values | more)


def wire(name: str = "rod", metal: str = "copper", diameter: float = 0.01, **more: Any) -> Conductor:
    """A round bar about the origin."""
    return Conductor(Part(name, round_bar(diameter)), MATERIALS[metal], **more)
