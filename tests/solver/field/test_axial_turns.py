"""Turns round an axis against elliptic integrals, Nagaoka's and Grover's tables and an integral equation.

`references/axial_values.csv` says for every row where it comes from; the rows' sources are J. C. Maxwell (Treatise,
1873), L. Lorenz (1879), H. Nagaoka (1909), E. B. Rosa and F. W. Grover (Bull. Bureau of Standards 8, 1912), Lord
Rayleigh and W. D. Niven (1881). 1e-6 is asked of all, 1e-8 of resistances in closed form.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from axial_rows import (
    COPPER,
    SIGMA,
    axial_rows,
    balance,
    evenly,
    fed,
    frequency_for,
    impedance,
    inductance,
    rectangle,
    solid,
    turn,
    unknowns,
)

from crosscurrent.geometries.meshing.mesher import mesh_section
from crosscurrent.geometries.plane.shapes import Shape, round_bar
from crosscurrent.solver.field.discretisation import Discretisation
from crosscurrent.solver.field.problem import Circuit, Problem
from crosscurrent.solver.field.region_metals import region_metals, region_skins
from crosscurrent.solver.field.solution import DirectSolution
from crosscurrent.solver.field.solve import solve
from crosscurrent.solver.field.unit_fields import solve_fields
from crosscurrent.solver.metals.depth import MU0
from crosscurrent.solver.metals.materials import Material

NEAR = 1e-6
RING = 0.05


def pair(one: tuple[float, float], other: tuple[float, float], wire: float, accuracy: float) -> DirectSolution:
    """Two thin turns (radius, height), 1 A in each, at rest."""
    turns = turn("one", *one, wire), turn("other", *other, wire)
    circuits = Circuit("first", 1.0, ("one",)), Circuit("second", 1.0, ("other",))
    return solve(Problem(turns, circuits, axial=True), 0.0, accuracy=accuracy)


@pytest.mark.parametrize(
    ("row", "one", "other"),
    [("001", (0.05, 0.0), (0.05, 0.05)), ("002", (0.05, 0.0), (0.03, 0.01)), ("003", (0.5, 0.0), (0.5, 0.01))],
)
def test_mutual_inductance_of_coaxial_circles(row: str, one: tuple[float, float], other: tuple[float, float]) -> None:
    """Maxwell 1873, elliptic integrals; circles are wires of 20 um."""
    found = pair(one, other, 1e-5, NEAR)
    mutual = found.fine.fields.inductance_at_rest
    assert axial_rows()[row].off(mutual[0, 1]) < NEAR
    assert abs(mutual[0, 1] / mutual[1, 0] - 1) < 1e-12
    assert unknowns(found) < 2 * 7000


def test_force_between_coaxial_circles() -> None:
    """The slope of the mutual inductance by elliptic integrals, and what one pulls the other pulls back."""
    found = pair((0.05, 0.0), (0.03, 0.01), 1e-5, 1e-7)
    force, row = found.fine.force[:, 1], axial_rows()["004"]
    assert row.off(force[1]) < NEAR  # the one lies at dz = +10 mm
    assert force.sum() == pytest.approx(0, abs=2e-6 * abs(row.value))
    assert (abs(force - [-row.value, row.value]) < found.force_errors + NEAR * abs(row.value)).all()


@pytest.mark.parametrize(
    ("row", "ratio", "printed"),
    [
        ("005", 0.1, 0.9588), ("006", 0.2, 0.9201), ("008", 1.0, 0.6884), ("009", 2.0, 0.5255), ("010", 5.0, 0.3198),
        ("011", 10.0, 0.2033),
    ],
)  # fmt: skip
def test_nagaokas_factor_of_thin_solenoids(row: str, ratio: float, printed: float) -> None:
    """Lorenz 1879 and the four digits that Nagaoka printed: a sheet as the limit of two foils, the thinner half."""
    height, factor = 2 * RING / ratio, []
    for thick in (1e-4 * RING, 2e-4 * RING):
        found = solve(fed(solid("foil", rectangle(RING - thick / 2, RING + thick / 2, height))), 0.0, accuracy=1e-6)
        factor.append(inductance(found) * height / (MU0 * math.pi * RING**2))
        assert unknowns(found) < 2 * 9200
    limit = 2 * factor[0] - factor[1]
    assert axial_rows()[row].off(limit) < NEAR
    assert round(limit, 4) == printed


@pytest.mark.parametrize(("rows", "thick"), [("014 015", 0.1), ("016 017", 0.5), ("018 019", 0.9)])
def test_a_ring_at_rest(rows: str, thick: float) -> None:
    """Maxwell's M integrated over the section with the current as 1/r; R in closed form: a - sqrt(a^2 - b^2)."""
    found = solve(fed(turn("ring", RING, 0.0, thick * RING)), 0.0, accuracy=NEAR)
    of_l, of_r = (axial_rows()[k] for k in rows.split())
    assert of_l.off(inductance(found)) < NEAR
    assert of_r.off(impedance(found).real) < 1e-8
    resistance, turned = found.circuit_errors(found.problem.circuits[0])
    assert of_r.off(impedance(found).real) <= resistance
    assert of_l.off(inductance(found)) <= turned + 4e-9
    assert unknowns(found) < 2 * 3400


@pytest.mark.parametrize(
    ("row", "shape"),
    [
        ("020", round_bar(0.002).placed((RING, 0.0))),
        ("021", round_bar(0.01).placed((RING, 0.0))),
        ("023", rectangle(0.095, 0.105, 0.01)),
        ("025", rectangle(0.01, 0.1, 0.002)),
        ("027", rectangle(0.05, 0.0501, 0.1)),
    ],
)
def test_current_spread_evenly(row: str, shape: Shape) -> None:
    """Transposed strands spread the current evenly, where solid metal at rest has it as 1/r.

    Mean of Maxwell's M over the section; of thin rings the series of Rayleigh and Niven. Its resistance is that of the
    strands over the mean length of a turn, 2 pi times the distance of the section's middle (Pappus).
    """
    bundle = evenly("bundle", shape)
    found = solve(fed(bundle), 0.0, accuracy=NEAR)
    assert axial_rows()[row].off(inductance(found)) < NEAR
    middle = 2 * math.pi * float(bundle.part.bounds[:, 0].mean())
    assert bundle.strands is not None
    assert impedance(found).real == pytest.approx(bundle.strands.resistance(SIGMA) * middle, rel=1e-9)
    assert balance(found) < 1e-10
    assert unknowns(found) < 2 * 5700


def test_brooks_coil_as_grover_prints_it() -> None:
    """The coil of largest inductance for a length of wire, a = 3 c / 2: L = 1.6994 a N^2 uH with a in m.

    F. W. Grover, Inductance Calculations, 1946, after H. B. Brooks, Bureau of Standards J. Res. 7, 1931 (from memory).
    """
    found = solve(fed(evenly("coil", rectangle(0.02, 0.04, 0.02))), 0.0, accuracy=NEAR)
    assert round(inductance(found) / 0.03 * 1e6, 4) == 1.6994


@pytest.mark.parametrize(
    ("row", "shape"),
    [
        ("022", rectangle(0.095, 0.105, 0.01)),
        ("024", rectangle(0.01, 0.1, 0.002)),
        ("026", rectangle(0.05, 0.0501, 0.1)),
        ("028", rectangle(0.02, 0.04, 0.02)),
    ],
)
def test_rectangular_sections_at_rest(row: str, shape: Shape) -> None:
    """Mean of Maxwell's M, the current as 1/r; the last is Brooks's coil of largest inductance."""
    found = solve(fed(solid("turn", shape)), 0.0, accuracy=NEAR)
    assert axial_rows()[row].off(inductance(found)) < NEAR
    assert unknowns(found) < 2 * 5700


@pytest.mark.parametrize(("of_l", "of_r", "thick"), [("032", "", 0.02), ("034", "", 0.1), ("", "035", 0.5)])
def test_a_ring_of_vanishing_skin(of_l: str, of_r: str, thick: float) -> None:
    """An integral equation on the surface. L less R/w has an error of the depth squared, R over 1/(sigma d) of d."""
    wire, outer, surface = thick * RING, [], []
    for ratio in (1e3, 2e3):
        frequency = frequency_for(wire / ratio)
        found = solve(fed(turn("ring", RING, 0.0, wire)), frequency, accuracy=NEAR)
        resistance = impedance(found).real
        outer.append(inductance(found) - resistance / (2 * math.pi * frequency))
        surface.append(resistance * COPPER.conductivity * COPPER.skin_depth(frequency))
        assert balance(found) < 1e-10
        assert unknowns(found) < 2 * 4400
    if of_l:
        assert axial_rows()[of_l].off((4 * outer[1] - outer[0]) / 3) < NEAR
    else:
        assert axial_rows()[of_r].off(2 * surface[1] - surface[0]) < NEAR


@pytest.mark.parametrize(("row", "thick"), [("057", 0.1), ("058", 0.5)])
def test_radial_force_of_its_own_field(row: str, thick: float) -> None:
    """Half the slope of L, the current carried along."""
    found = solve(fed(turn("ring", RING, 0.0, thick * RING)), 0.0, accuracy=NEAR)
    assert axial_rows()[row].off(found.fine.force[0, 0]) < 1e-6
    assert abs(found.fine.force[0, 1]) < 1e-8 * found.fine.force[0, 0]


@pytest.mark.parametrize("depth", [1e1, 1e2, 1e4, 1e6])
def test_a_very_resistive_turn_beside_lifted_ones(depth: float) -> None:
    """L of the ring at rest, its skin so many times its wire: the lifted form alone is off by 3e-4 at 1e3."""
    metal = Material("poor", COPPER.conductivity / depth**2)
    frequency, thin = frequency_for(5e-3), 0.1 * RING
    problem = fed(turn("ring", RING, 0.0, thin, metal))
    mesh = mesh_section(problem.section, region_skins(problem, frequency))
    d = Discretisation(mesh, region_metals(problem, frequency), 6)
    both, alone = (solve_fields(d, frequency, lifted=lifted) for lifted in (True, False))
    found = both.impedance[0, 0].imag / (2 * math.pi * frequency)
    if depth >= 1e2:
        assert axial_rows()["014"].off(found) < NEAR
    np.testing.assert_allclose(both.impedance, alone.impedance, rtol=1e-9)
    np.testing.assert_allclose(both.electric[d.elements.dofs[d.elements.metal]],
                               alone.electric[d.elements.dofs[d.elements.metal]], rtol=1e-9)  # fmt: skip
    np.testing.assert_allclose(both.potential, alone.potential, atol=1e-9 * abs(alone.potential).max())
