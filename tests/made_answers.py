"""Answers made by hand: round numbers, no solve."""

from __future__ import annotations

from typing import Any

import numpy as np

from crosscurrent.geometries.plane.neighbours import Neighbours
from crosscurrent.postprocess.answers.answers import Answers, CircuitAnswer, ConductorAnswer, FaceAnswer, LayerAnswer
from crosscurrent.postprocess.answers.summary import CircuitSummary, SectionLoss, Summary


def circuit(name: str = "feed", resistance: float | None = 1e-3, error: float = 0.01) -> CircuitAnswer:
    """10 A through a loop of some resistance [ohm/m], all its own, and 1 uH/m; None: no current."""
    if resistance is None:
        return CircuitAnswer(name, 0j, 0j, None, None, None, None, None, 1e-3, None, 0.0)
    return CircuitAnswer(
        name, 10 + 0j, 10 * resistance + 2j, resistance, error, 1e-6, error, 0.2, 1e-3, resistance / 1e-3,
        100 * resistance, 100 * resistance, error, resistance, error, 1e-3, resistance / 1e-3,
    )  # fmt: skip


def conductor(name: str = "rod", loss: float = 0.1, current: complex = 10 + 0j) -> ConductorAnswer:
    """With a force of (3, -4) N/m."""
    return ConductorAnswer(
        name, current, loss, 0.01, 1e-3, loss / 0.1 if current else None, 0.2e-3, 5e6, 5e6 * 2**0.5, 1e6, (3.0, -4.0),
        0.1,
        layers={"copper": LayerAnswer(1.0, 1.0)}, faces=(FaceAnswer("outside", 1.0, 1.0, 0.1e-3),),
        sentence="the current keeps to the whole outline evenly",
    )  # fmt: skip


PAIR = conductor("rod"), conductor("back", current=-10 + 0j)


def point(
    frequency: float = 1e3, *circuits: CircuitAnswer, conductors: tuple[ConductorAnswer, ...] = PAIR
) -> Answers:
    """One frequency; one circuit out through a rod and back through another if nothing else is said."""
    each = circuits or (circuit(),)
    names = tuple(c.name for c in conductors)
    return Answers(
        frequency, {c.name: c for c in each}, {c.name: c for c in conductors}, names,
        np.eye(len(names)) * (1e-3 + 2e-3j), 0.1, sum(c.loss for c in conductors), 1e-9, 100, 900, 4, 1,
    )  # fmt: skip


def circuit_summary(name: str = "feed", **changed: Any) -> CircuitSummary:
    """10 A at 1 kHz and 70 degC through 1 mohm/m and 1 uH/m."""
    figures: dict[str, Any] = {
        "frequency": 1e3, "size": 10.0, "resistance": 1e-3, "resistance_error": 1e-4, "resistance_ratio": 2.0,
        "resistance_of": "loop", "inductance": 1e-6, "inductance_error": 1e-5, "drop": 0.06, "temperature_low": 70.0,
        "temperature_high": 70.0,
    }  # fmt: skip
    return CircuitSummary(name, **figures | changed)


def summary(**changed: Any) -> Summary:
    """Of one circuit and one gap, no limits, temperatures as stated."""
    figures: dict[str, Any] = {
        "verdict": "none stated", "verdict_words": "none stated, so nothing is judged",
        "losses": (SectionLoss("at 1 kHz", 0.1, 0.001, None),), "hottest": None, "holds": (), "runs_away": (),
        "temperature_low": 70.0, "temperature_high": 70.0, "taken": (), "circuits": (circuit_summary(),),
        "gaps": (Neighbours("rod", "back", 3e-3, 0.1, False),),
    }  # fmt: skip
    return Summary(**figures | changed)
