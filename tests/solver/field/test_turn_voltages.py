"""Turns of a coil: their voltages, and capacitances against exact ones."""

from __future__ import annotations

import math

import numpy as np
import pytest

from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.section import Section
from crosscurrent.geometries.plane.shapes import round_bar, tube
from crosscurrent.solver.field.electrostatic import VACUUM, charges, section_capacitance
from crosscurrent.solver.field.problem import Circuit, Conductor, Problem
from crosscurrent.solver.field.solve import solve
from crosscurrent.solver.field.turn_voltages import own_capacitance, potentials, turn_gaps
from crosscurrent.solver.metals.materials import MATERIALS


def ball(name: str, height: float, diameter: float = 0.1) -> Part:
    return Part(name, round_bar(diameter).placed((0.0, height)))


@pytest.mark.parametrize("height", [0.0, 0.3])
def test_a_ball_in_free_space(height: float) -> None:
    """4 pi eps a."""
    found, error = charges(Section((ball("ball", height),), axial=True))
    exact = 4 * math.pi * VACUUM * 0.05
    assert abs(found[0, 0] / exact - 1) < error < 1e-6


def test_two_equal_balls() -> None:
    """J. C. Maxwell, Treatise, art. 173 (from memory): sums of cosech, cosh b half the distance over the radius."""
    a, apart = 0.05, 0.12
    found, error = charges(Section((ball("one", -apart / 2), ball("two", apart / 2)), axial=True))
    b, n = math.acosh(apart / (2 * a)), np.arange(1, 100)
    scale = 4 * math.pi * VACUUM * a * math.sinh(b)
    own, mutual = scale * (1 / np.sinh((2 * n - 1) * b)).sum(), -scale * (1 / np.sinh(2 * n * b)).sum()
    assert found == pytest.approx(np.array([[own, mutual], [mutual, own]]), abs=error * own)
    assert error < 1e-4
    # opposite charges: potentials differ by 2 / (own - mutual)
    pair = section_capacitance(Section((ball("one", -apart / 2), ball("two", apart / 2)), axial=True), (0,), (1,))
    assert pair.value == pytest.approx((own - mutual) / 2, rel=2 * pair.error + 1e-9)


def test_balls_in_one_another() -> None:
    """4 pi eps a b / (b - a)."""
    section = Section((ball("core", 0.0), Part("shell", tube(0.16, 0.01))), axial=True)
    found = section_capacitance(section, (0,), (1,))
    assert found.value == pytest.approx(4 * math.pi * VACUUM * 0.05 * 0.07 / 0.02, rel=found.error)


def test_a_thin_ring() -> None:
    """4 pi^2 eps R / ln(8 R / r): W. R. Smythe (from memory), for a thin wire."""
    found, _ = charges(Section((Part("ring", round_bar(0.002).placed((0.1, 0.0))),), axial=True))
    assert found[0, 0] == pytest.approx(4 * math.pi**2 * VACUUM * 0.1 / math.log(800), rel=2e-4)


def test_potentials_along_a_coil() -> None:
    turns = tuple(
        Conductor(Part(f"t{k}", round_bar(0.004).placed((0.05, 0.01 * k))), MATERIALS["copper"]) for k in range(3)
    )
    coil = Circuit("coil", 100.0, ("t0", "t1", "t2"), sharing="series")
    solution = solve(Problem(turns, (coil,), axial=True), 10e3)
    each, level = solution.fine.voltages, potentials(solution, coil)
    assert level[0] == pytest.approx(each[0] / 2)
    assert level[-1] + each[-1] / 2 == pytest.approx(solution.fine.circuit(coil))
    gaps = turn_gaps(solution, coil)
    assert {(g.one, g.other) for g in gaps} == {("t0", "t1"), ("t1", "t2"), ("t0", "t2")}
    assert gaps[0].voltage == pytest.approx(abs(each[0] + each[1]) / 2)
    assert gaps[0].gap == pytest.approx(0.006)
    assert gaps[0].field == pytest.approx(math.sqrt(2) * gaps[0].voltage / 0.006)
    # one turn alone is half a volt above the earthed end
    charge, _ = charges(Section((turns[0].part,), axial=True))
    one = Circuit("one", 1.0, ("t0",))
    assert own_capacitance(Problem(turns[:1], (one,), axial=True), one, charge) == pytest.approx(charge[0, 0] / 4)
