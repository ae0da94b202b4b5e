"""What cooling takes for granted, in words."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from topic_answers import wire

from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.shapes import tube
from crosscurrent.postprocess.topics.cooling import CoolingAnswer
from crosscurrent.postprocess.topics.cooling_assumptions import assumptions, correlated, taken
from crosscurrent.solver.field.problem import Conductor
from crosscurrent.solver.heat.cooling import FINISHES, Cooling
from crosscurrent.solver.metals.materials import MATERIALS

LEVEL = Cooling(20.0)


@pytest.mark.parametrize(
    ("tilt", "said"),
    [
        (0.0, "run horizontal"),
        (math.pi / 2, "run vertical, 2 m long"),
        (math.radians(30), "run 30 deg above the horizontal, 2 m long"),
    ],
)
def test_how_the_run_lies(tilt: float, said: str) -> None:
    cooling = replace(LEVEL, stream=replace(LEVEL.stream, tilt=tilt, length=2.0))
    assert assumptions(cooling, [])[1] == said
    assert said.split(",")[0] in taken(cooling)


def test_wind_and_height_are_named_where_there_are_some() -> None:
    blown = replace(LEVEL, stream=replace(LEVEL.stream, speed=1.5, altitude=1200.0))
    assert "blown across the run at 1.5 m/s, 1200 m above the sea" in taken(blown)
    assert "air blown across the run at 1.5 m/s" in assumptions(blown, [])
    assert "blown" not in taken(LEVEL)
    assert "above the sea" not in taken(LEVEL)


def test_conductors_of_one_finish_are_named_together() -> None:
    painted, bright = FINISHES["painted"], FINISHES["bright"]
    mixed = replace(LEVEL, others=(("a", painted), ("b", bright), ("c", painted)))
    assert "(emissivity 0.2 to 0.4), of a, c painted (0.85 to 0.95), of b bright (0.05 to 0.15)" in taken(mixed)
    assert any(line.startswith("finish painted of a, c: emissivity 0.9 (0.85 to 0.95)")
               for line in assumptions(mixed, []))  # fmt: skip


def test_empty_bores_and_guessed_conductivities_are_told() -> None:
    pipe = Conductor(Part("pipe", tube(0.02, 0.002)), replace(MATERIALS["copper"], thermal_conductivity=None))
    lines = assumptions(LEVEL, [CoolingAnswer(50.0, (pipe,), None)])
    assert "a bore with nothing in it lets no heat out" in lines
    assert lines[-1].startswith("thermal conductivity of copper from Wiedemann and Franz")
    plain = assumptions(LEVEL, [CoolingAnswer(50.0, (wire(),), None)])
    assert not any("bore" in line or "Wiedemann" in line for line in plain)


def test_no_state_used_no_correlation() -> None:
    assert correlated([CoolingAnswer(50.0, (wire(),), None)]) == ()
