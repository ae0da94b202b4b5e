"""Water in turns round an axis: the way it goes, the heat it takes, and the straight run far from the axis."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.shapes import box, tube
from crosscurrent.solver.field.problem import Circuit, Conductor, Problem
from crosscurrent.solver.field.solution import Solution
from crosscurrent.solver.field.solve import solve
from crosscurrent.solver.metals.materials import MATERIALS
from crosscurrent.solver.water.coolant import Coolant
from crosscurrent.solver.water.cooled import Supply, WaterHeat, cooled
from crosscurrent.solver.water.pipe import DRAWN, friction
from crosscurrent.solver.water.turns import lengths, turn_length

FLOW = 3e-3 / 60  # [m3/s]


def coil(radius: float, count: int, *, axial: bool = True) -> Solution:
    turns = tuple(
        Conductor(Part(f"t{k}", tube(0.012, 0.0015).placed((radius, 0.016 * k))), MATERIALS["copper"])
        for k in range(count)
    )
    names = tuple(t.name for t in turns)
    circuit = Circuit("coil", 500.0, names, sharing="series" if axial else "equal")
    return solve(Problem(turns, (circuit,), axial=axial), 10e3 if axial else 0.0)


def supply(*names: str, length: float = math.nan) -> Supply:
    return Supply("water", names, length, 20.0, 3e5, flow=FLOW)


def test_the_water_takes_what_all_turns_lose() -> None:
    """Energy: the rise is P / (m c), the way 2 pi R a turn."""
    solution = coil(0.046, 3)
    found = cooled(supply("t0", "t1", "t2"), WaterHeat.of(solution)).stream
    power = float(solution.fine.powers.real.sum())
    assert found.heat == pytest.approx(power, rel=1e-9)
    liquid = Coolant().at(0.5 * (20.0 + found.outlet))
    assert found.outlet - 20.0 == pytest.approx(power / (FLOW * liquid.density * liquid.heat_capacity), rel=2e-3)
    assert sum(b.passage.length for b in found.branches) == pytest.approx(3 * 2 * math.pi * 0.046, rel=1e-9)
    assert [b.inlet for b in found.branches][1:] == pytest.approx([b.outlet for b in found.branches][:-1])


def test_far_from_the_axis_a_turn_is_a_straight_run() -> None:
    radius = 20.0
    turn = Conductor(Part("t", tube(0.012, 0.001).placed((radius, 0.0))), MATERIALS["copper"])
    ring = solve(Problem((turn,), (Circuit("c", 1000.0, ("t",)),), axial=True), 0.0)
    straight = Conductor(Part("t", tube(0.012, 0.001)), MATERIALS["copper"])
    run = solve(Problem((straight,), (Circuit("c", 1000.0, ("t",)),)), 0.0)
    length = 2 * math.pi * radius
    assert lengths(ring.problem)[0] == pytest.approx(length)
    assert lengths(run.problem)[0] == 1.0
    round_it, along = (
        cooled(supply("t", length=length), WaterHeat.of(solution)).stream for solution in (ring, run)
    )
    assert round_it.heat == pytest.approx(along.heat, rel=1e-6)
    assert round_it.drop == pytest.approx(along.drop, rel=1e-6)
    assert round_it.surface == pytest.approx(along.surface, abs=1e-3 * (along.surface - 20.0))
    assert round_it.branches[0].hottest == pytest.approx(along.branches[0].hottest, rel=1e-4)


def test_length_of_a_turn_with_two_bores() -> None:
    two = Conductor(Part("t", box(0.03, 0.02, 0.002).placed((0.1, 0.0))), MATERIALS["copper"])
    assert turn_length(two) == pytest.approx(2 * math.pi * 0.1)


def test_turns_of_one_tube_have_one_inlet_and_one_outlet_and_the_friction_of_a_bend() -> None:
    """Half rho v^2 (f L / d + 1.5) with f after Colebrook and Ito's (Re (d/D)^2)^(1/20)."""
    solution = coil(0.046, 3)
    found = cooled(replace(supply("t0", "t1", "t2"), flow=3 * FLOW), WaterHeat.of(solution)).stream
    heads = sum(
        friction(b.reynolds, DRAWN / 0.009) * (b.reynolds * (0.009 / 0.092) ** 2) ** 0.05 * b.passage.length / 0.009
        * b.liquid.density * b.velocity**2 / 2 for b in found.branches
    )  # fmt: skip
    ends = sum(1.5 / 3 * b.liquid.density * b.velocity**2 / 2 for b in found.branches)
    assert found.drop == pytest.approx(heads + ends, rel=1e-6)


def test_what_goes_into_the_air_is_of_whole_turns() -> None:
    solution = coil(0.046, 3)
    water = cooled(supply("t0", "t1", "t2"), WaterHeat.of(solution, np.array([1.0, 2.0, 3.0])))
    assert water.to_air == pytest.approx(6.0)
    assert water.stream.heat == pytest.approx(float(solution.fine.powers.real.sum()) - 6.0)
