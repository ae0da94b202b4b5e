"""Hand formulas of round conductors against the reference rows: multipole series and Bessel functions."""

from __future__ import annotations

import math

import pytest
from common import COPPER, MU0, SIGMA, TURN, conductor, frequency_for, metal, pair, rod
from reference_rows import rows
from scipy.special import ive

from crosscurrent.geometries.plane.shapes import tube
from crosscurrent.solver.field.hand_formula import HandFormula
from crosscurrent.solver.field.problem import Circuit, Conductor, Problem
from crosscurrent.solver.field.round_formulas import (
    coaxial_line,
    rod_alone,
    three_wires,
    tubes_in_thick_skins,
    wires_in_thick_skins,
    wires_in_thin_skins,
)
from crosscurrent.solver.field.solve import solve

RADIUS = 0.01
AT_REST = 1 / (SIGMA * math.pi * RADIUS**2)


def of_phases(*conductors: Conductor) -> Problem:
    return Problem(conductors, tuple(Circuit(c.name, TURN**k, (c.name,)) for k, c in enumerate(conductors)))


def rods_of_phases(spacing: float, *, trefoil: bool, diameter: float = 2 * RADIUS) -> Problem:
    third = (spacing / 2, spacing * math.sqrt(0.75)) if trefoil else (2 * spacing, 0.0)
    return of_phases(*(rod(n, diameter, *at) for n, at in zip("abc", ((0.0, 0.0), (spacing, 0.0), third), strict=True)))


def tubes(wall: float, apart: float) -> Problem:
    return pair(conductor("a", tube(0.02, wall)), conductor("b", tube(0.02, wall), (apart, 0.0)))


def test_one_rod_is_kelvins() -> None:
    depths = 12.5
    z = (1 + 1j) * depths
    expected = AT_REST * (z / 2 * ive(0, z) / ive(1, z)).real
    lone = Problem((rod("a", 2 * RADIUS),), (Circuit("feed", 1.0, ("a",)),))
    found = rod_alone(lone, frequency_for(RADIUS / depths))
    assert found is not None
    assert found.exact
    assert found.resistance == pytest.approx(expected, rel=1e-9)
    assert found.inductance is None
    assert rod_alone(pair(rod("a", 0.01), rod("b", 0.01, 0.02)), 50.0) is None


def test_a_coaxial_line_is_that_of_the_rows() -> None:
    line = pair(rod("core", 0.002), conductor("sheath", tube(0.008, 0.0005)))
    compared = 0
    for row in rows("coax"):
        if not row.number("f"):
            continue
        found = coaxial_line(line, row.number("f"))
        assert found is not None
        assert found.exact
        value = found.resistance if row.quantity == "R loop" else found.inductance
        assert value == pytest.approx(row.value, rel=1e-9), row.id
        compared += 1
    assert compared == 14
    assert coaxial_line(pair(rod("core", 0.002, 0.001), conductor("sheath", tube(0.008, 0.0005))), 50.0) is None


def test_two_wires_keep_their_own_errors_beside_the_rows() -> None:
    """R and L of every row with a spacing and a skin: by one formula in thick skins, the other in thin ones."""
    compared, shown = set(), 0
    for row in rows("wires2"):
        if "a/delta" not in row.conditions or "same direction" in row.quantity:
            continue
        frequency = frequency_for(RADIUS / row.number("a/delta"))
        two = pair(rod("a", 2 * RADIUS), rod("b", 2 * RADIUS, 2 * RADIUS * row.number("D/2a")))
        for form in (wires_in_thick_skins, wires_in_thin_skins):
            found = form(two, frequency)
            if found is None:
                continue
            if row.quantity.startswith("R/R0"):
                value, error = found.resistance / (2 * AT_REST), found.resistance_error
            else:
                value, error = found.inductance / (MU0 / math.pi), found.inductance_error
            assert abs(value / row.value - 1) < error, f"{row}: {found}"
            compared.add(row.id)
            shown += error < 0.1
    assert len(compared) == 112
    assert shown >= 96


def test_unlike_wires_have_no_formula() -> None:
    others = (rod("b", 0.018, 0.03), rod("b", 0.02, 0.03, material=metal(35e6)), tubes(0.002, 0.03).conductors[1])
    for other in others:
        for form in (wires_in_thick_skins, wires_in_thin_skins, tubes_in_thick_skins):
            assert form(pair(rod("a", 0.02), other), 50.0) is None
            assert form(pair(rod("a", 0.02), other), 10e3) is None
    steel = metal(6e6, 100.0)
    magnetic = pair(rod("a", 0.02, material=steel), rod("b", 0.02, 0.03, material=steel))
    assert wires_in_thin_skins(magnetic, 10e3) is None


def test_three_phases_keep_their_own_error_beside_the_rows() -> None:
    """Rods of 20 mm, axes 30 mm apart, 50 Hz; at 400 Hz and above x is beyond 2.8."""
    found = rows("nwires", 1, 8)
    assert len(found) == 8
    for row in found:
        said = three_wires(rods_of_phases(0.03, trefoil="trefoil" in row.conditions), row.number("f"))
        if row.number("f") > 50:
            assert said is None
        else:
            assert said is not None
            assert said.circuits == ("a", "b", "c")
            assert abs(3 * said.resistance / row.value - 1) < said.resistance_error < 0.01


def test_thin_wires_in_trefoil_have_the_inductance_of_every_handbook() -> None:
    """0.2 ln(s / a) + 0.05 mH/km, and 2^(1/3) s for s in a row (common practice); 2 mm thick, 0.2 m apart, 50 Hz."""
    for trefoil, mean in ((True, 0.2), (False, 0.2 * 2 ** (1 / 3))):
        said = three_wires(rods_of_phases(0.2, trefoil=trefoil, diameter=0.002), 50.0)
        assert said is not None
        assert said.inductance * 1e6 == pytest.approx(0.2 * math.log(mean / 0.001) + 0.05, rel=1e-5)


def test_what_is_no_balanced_system_has_no_formula() -> None:
    whole = rods_of_phases(0.03, trefoil=True)
    weak = Problem(whole.conductors, (*whole.circuits[:2], Circuit("c", 0.5 * TURN**2, ("c",))))
    askew = of_phases(rod("a", 0.02), rod("b", 0.02, 0.03), rod("c", 0.02, 0.04, 0.03))
    neutral = Problem((*whole.conductors, rod("n", 0.02, 0.1)), whole.circuits)
    assert [three_wires(p, 50.0) for p in (weak, askew, neutral)] == [None] * 3


@pytest.mark.parametrize(
    ("form", "problem", "frequency"),
    [
        (three_wires, rods_of_phases(0.021, trefoil=True), frequency_for(RADIUS / 1.4)),
        (tubes_in_thick_skins, tubes(0.001, 0.03), 100.0),
        (wires_in_thin_skins, tubes(0.002, 0.024), 10e3),
        (wires_in_thin_skins, pair(rod("a", 0.02), rod("b", 0.02, 0.0205)), frequency_for(RADIUS / 3)),
    ],
)
def test_the_solver_lies_within_the_error_of_the_formula(form, problem: Problem, frequency: float) -> None:
    said: HandFormula = form(problem, frequency)
    flow = solve(problem, frequency, accuracy=1e-3).fine
    squares = sum(abs(c.current) ** 2 for c in problem.circuits)
    power = sum(flow.circuit(c) * c.current.conjugate() for c in problem.circuits) / squares
    assert abs(said.resistance / power.real - 1) < said.resistance_error < 0.15
    assert abs(said.inductance * 2 * math.pi * frequency / power.imag - 1) < said.inductance_error


def test_a_plated_pair_grows_by_its_coats() -> None:
    silver = metal(62.9e6)
    plated = [conductor(n, tube(0.02, 0.002), (x, 0.0), coats=[(silver, 1e-4)]) for n, x in (("a", 0.0), ("b", 0.0402))]
    bare = [conductor(n, tube(0.0202, 0.0021), (x, 0.0), silver) for n, x in (("a", 0.0), ("b", 0.0402))]
    coated, solid = (wires_in_thin_skins(pair(*both), 10e6) for both in (plated, bare))
    assert coated is not None
    assert solid is not None
    assert coated.resistance == pytest.approx(solid.resistance, rel=5e-3)  # the skin lies within the silver
    assert coated.inductance == pytest.approx(solid.inductance, rel=1e-4)
    assert COPPER.skin_depth(10e6) < 1e-4
