"""Words of temperatures in air: runs as a whole, and what has no stable temperature."""

from __future__ import annotations

from dataclasses import replace

from topic_answers import wire

from crosscurrent.postprocess.topics.cooling import CoolingAnswer, measured, of_the_run, record
from crosscurrent.solver.heat.cooling import Cooling


def test_a_run_as_a_whole() -> None:
    level = Cooling(20.0)
    rising = replace(level, stream=replace(level.stream, tilt=0.5))
    assert not list(of_the_run(level, swept=False, length=None))
    assert not list(of_the_run(rising, swept=False, length=2.0))
    swept, endless = of_the_run(rising, swept=True, length=None)
    assert "has the temperatures that its own losses keep up" in swept
    assert f"states no length: {level.stream.length:g} m is taken" in endless


def test_conductors_without_a_stable_temperature() -> None:
    found = CoolingAnswer(50.0, (wire("rod"), wire("wall")), None, why="too hot", runaway=frozenset({"rod"}))
    assert record(found)["stable"] is False
    rod, wall = measured([found])
    assert rod.endless  # it runs away
    assert not wall.known
    assert not wall.endless  # nobody knows
