"""Coupled coils round an axis against Maxwell's formula, and shorted ones against closed rings and circuit theory."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.special import ellipe, ellipk

from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.shapes import round_bar
from crosscurrent.solver.field.circuits import carried
from crosscurrent.solver.field.coils import coupled
from crosscurrent.solver.field.problem import Circuit, Conductor, Problem
from crosscurrent.solver.field.solution import DirectSolution
from crosscurrent.solver.field.solve import solve
from crosscurrent.solver.metals.materials import MATERIALS

MU0 = 4e-7 * math.pi
PLACES = {"one": (0.05, 0.0), "two": (0.05, 0.02), "three": (0.03, -0.03)}


def maxwell(a: float, b: float, d: float) -> float:
    """Mutual inductance of coaxial circles [H]: Maxwell, Treatise, art. 701."""
    m = 4 * a * b / ((a + b) ** 2 + d**2)
    k = math.sqrt(m)
    return float(MU0 * math.sqrt(a * b) * ((2 / k - k) * ellipk(m) - 2 / k * ellipe(m)))


def rings(*circuits: Circuit, frequency: float, closed: tuple[str, ...] = (), wire: float = 0.0005) -> DirectSolution:
    conductors = tuple(
        Conductor(Part(name, round_bar(wire).placed(place)), MATERIALS["copper"], closed=name in closed)
        for name, place in PLACES.items()
    )
    return solve(Problem(conductors, circuits, axial=True), frequency, accuracy=1e-5)


def test_mutual_inductance_of_thin_rings_is_that_of_circles() -> None:
    feeds = [Circuit(name, 1.0 if name == "one" else 0.0, (name,)) for name in PLACES]
    found = coupled(rings(*feeds, frequency=0.0))
    for i, (a, za) in enumerate(PLACES.values()):
        for j, (b, zb) in enumerate(PLACES.values()):
            if i != j:  # of wires of finite thickness to the square of it over the distance, 1e-4
                assert found.inductance[i, j] == pytest.approx(maxwell(a, b, za - zb), rel=1e-4)
    assert np.allclose(found.inductance, found.inductance.T, rtol=1e-9)
    factor, error = found.coupling(0, 1)
    assert factor == pytest.approx(found.inductance[0, 1] / math.sqrt(found.inductance[0, 0] * found.inductance[1, 1]))
    assert 0 < error < 1e-4


def test_turns_in_series_add_their_mutual_inductances() -> None:
    """L = L1 + L2 + 2 M, less where one is reversed."""
    alike = Circuit("coil", 1.0, ("one", "two"), sharing="series")
    against = Circuit("coil", 1.0, ("one",), ("two",), sharing="series")
    mutual = maxwell(0.05, 0.05, 0.02)
    found = [coupled(rings(c, frequency=0.0)).inductance[0, 0] for c in (alike, against)]
    assert found[0] - found[1] == pytest.approx(4 * mutual, rel=1e-4)


def test_a_shorted_turn_is_a_closed_ring() -> None:
    drive = Circuit("coil", 1.0, ("one",))
    shorted = rings(drive, Circuit("loop", 0.0, ("two",), shorted=True), frequency=20e3, wire=0.004)
    ring = rings(drive, frequency=20e3, closed=("two",), wire=0.004)
    assert shorted.fine.circuit(drive) == pytest.approx(ring.fine.circuit(drive), rel=1e-8)
    assert shorted.fine.powers.real == pytest.approx(ring.fine.powers.real, rel=1e-6)
    loop = shorted.problem.circuits[1]
    assert abs(shorted.fine.circuit(loop)) < 1e-12 * abs(shorted.fine.circuit(drive))


def test_a_shorted_coil_answers_as_a_transformer_does() -> None:
    """I2 = -Z12 I1 / Z22; Z1 = Z11 - Z12^2 / Z22."""
    drive = Circuit("coil", 2.0, ("one",))
    loop = Circuit("loop", 0.0, ("two", "three"), sharing="series", shorted=True)
    flow = rings(drive, loop, frequency=5e3).fine
    z = flow.circuit_impedance
    current = carried(loop, flow.problem.names, flow.currents)
    assert current == pytest.approx(-z[0, 1] * 2.0 / z[1, 1], rel=1e-10)
    assert flow.circuit(drive) / 2.0 == pytest.approx(z[0, 0] - z[0, 1] ** 2 / z[1, 1], rel=1e-10)


def test_bars_of_a_pair_hold_against_a_far_finer_solve() -> None:
    feeds = Circuit("one", 1.0, ("one",)), Circuit("two", 0.0, ("two",))
    conductors = tuple(
        Conductor(Part(name, round_bar(0.008).placed(PLACES[name])), MATERIALS["copper"]) for name in ("one", "two")
    )
    problem = Problem(conductors, feeds, axial=True)
    coarse, fine = (coupled(solve(problem, 50e3, accuracy=wanted)) for wanted in (1e-2, 1e-6))
    assert np.all(np.abs(coarse.inductance - fine.inductance) <= coarse.inductance_error)
    assert np.all(np.abs(coarse.resistance - fine.resistance) <= coarse.resistance_error)
    apart = abs(coarse.coupling(0, 1)[0] - fine.coupling(0, 1)[0])
    assert apart <= coarse.coupling(0, 1)[1]
