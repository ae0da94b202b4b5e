"""Least and most current of straight strands: inside their bars against all strands, by multipoles or one by one."""

from __future__ import annotations

import math
import os
from dataclasses import replace

import numpy as np
import pytest

from crosscurrent.geometries.meshing.lattice import lattice
from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.shapes import bar, round_bar
from crosscurrent.solver.field.problem import Circuit, Conductor, Problem
from crosscurrent.solver.field.solution import Solution
from crosscurrent.solver.field.solve import solve
from crosscurrent.solver.field.strand_density import StrandDensity
from crosscurrent.solver.field.strand_shares import has_places, outline_harmonics, placed, strand_densities
from crosscurrent.solver.metals.depth import MU0
from crosscurrent.solver.metals.materials import Material
from crosscurrent.solver.metals.strand_drive import HARMONICS
from crosscurrent.solver.metals.strand_layout import Layout, strand_places
from crosscurrent.solver.metals.strand_network import pitch_over_radius
from crosscurrent.solver.metals.strands import Strands
from tests.multipoles import impedance

SIZE, SIGMA = 1e-4, 58e6
COPPER = Material("copper", SIGMA)
Case = tuple[Layout, int, float, float, float, float]  # count, pitch over size, radius in skins, pitches apart, turn
FEW: list[Case] = [
    ("hexagonal", 73, 1.2, 0.8, 5.0, 0.4), ("rings", 38, 1.05, 1.4, 2.0, 0.0),
    ("hexagonal", 61, 1.2, 0.2, 1.0, 0.0), ("square", 100, 1.6, 0.5, 6.0, 0.3),
]  # fmt: skip
EVERY: list[Case] = [
    (layout, count, 1.2, depths, apart, 0.4)
    for layout in ("hexagonal", "square", "rings") for count in (38, 61, 73, 91, 127)
    for depths in (0.2, 0.8, 1.4) for apart in (0.5, 4.0, 20.0)
]  # fmt: skip
EXAMPLES = bool(os.environ.get("CROSSCURRENT_EXAMPLES"))


def frequency_at(depths: float) -> float:
    """At which the radius of a strand is so many skin depths [Hz]."""
    return (2 * depths / SIZE) ** 2 / (math.pi * MU0 * SIGMA)


def lead(name: str, strands: Strands, pitch: float, middle: complex = 0.0) -> Conductor:
    """Strands at a pitch in the circle of their cells, or round all rings."""
    size = 2 * pitch / pitch_over_radius(strands.count, strands.layout)
    return Conductor(Part(name, round_bar(size).placed((middle.real, middle.imag))), COPPER, strands=strands)


def checked(found: StrandDensity, exact: np.ndarray, conductor: Conductor, near: float) -> None:
    """Both ends within the bar and as near to the most as given; the strand that is named carries the most."""
    size, strands = np.abs(exact), conductor.strands
    off = max(abs(found.least - size.min()), abs(found.most - size.max()))
    assert off < found.error
    assert off < near * size.max()
    assert strands is not None
    named = int(np.hypot(*(placed(conductor, strands) - found.most_at).T).argmin())
    assert size[named] > (1 - 2 * near) * size.max()


@pytest.mark.parametrize(("layout", "count", "wide", "depths", "apart", "turn"), EVERY if EXAMPLES else FEW)
def test_pairs_go_and_return(layout: Layout, count: int, wide: float, depths: float, apart: float, turn: float) -> None:
    """Against multipoles of all strands of both, the other bundle turned."""
    pitch, frequency = wide * SIZE, frequency_at(depths)
    strands = Strands(count, SIZE, layout, "straight", gathered=True)
    away = 2 * pitch / pitch_over_radius(count, layout) + apart * pitch
    pair = lead("go", strands, pitch), lead("back", replace(strands, turn=turn), pitch, away)
    found = strand_densities(solve(Problem(pair, (Circuit("pad", 1.0, ("go",), ("back",)),)), frequency), {})
    places = pitch * strand_places(count, layout) @ [1, 1j]
    every = np.concatenate((places, away + places * np.exp(1j * turn)))
    if np.abs(every[:, None] - every + np.eye(len(every))).min() < SIZE:
        pytest.skip("strands of both would lie in one another")
    whole = impedance(every, [[k] for k in range(2 * count)], SIZE, SIGMA, frequency)
    joined = np.kron(np.eye(2), np.ones((count, 1)))
    each = np.linalg.solve(whole, joined)
    exact = each @ np.linalg.solve(joined.T @ each, [1.0, -1.0])
    near = 0.025 if apart >= 4 else 0.3
    for number, one in enumerate(found):
        assert one is not None
        checked(one, exact[number * count :][:count], pair[number], near)


@pytest.mark.parametrize(
    ("layout", "count", "depths"),
    [("hexagonal", 19, 0.8), ("hexagonal", 38, 0.8), ("square", 61, 0.5), ("rings", 91, 1.4)][: 4 if EXAMPLES else 1],
)
def test_beside_a_bar_as_all_strands_one_by_one(layout: Layout, count: int, depths: float) -> None:
    pitch, frequency = 1.2e-4, frequency_at(depths)
    strands = Strands(count, SIZE, layout, "straight", gathered=True)
    one = lead("lead", strands, pitch)
    radius = pitch / pitch_over_radius(count, layout)
    back = Conductor(Part("bar", bar(4 * radius, radius).placed((0.3 * radius, 1.5 * radius + 3 * pitch))), COPPER)
    found = strand_densities(solve(Problem((one, back), (Circuit("pad", 1.0, ("lead",), ("bar",)),)), frequency), {})[0]
    names = tuple(f"strand.{k}" for k in range(count))
    at = (pitch * strand_places(count, layout)).tolist()
    parts = [Part(name, round_bar(SIZE).placed((x, y))) for name, (x, y) in zip(names, at, strict=True)]
    each = tuple(Conductor(part, COPPER) for part in parts)
    solved = solve(Problem((*each, back), (Circuit("pad", 1.0, names, ("bar",)),)), frequency, accuracy=1e-2)
    assert found is not None
    checked(found, solved.fine.currents[:count], one, 0.005)
    d = solved.fine.discretisation
    strand = (d.mesh.part >= 0) & (d.mesh.part < count)
    corners = solved.fine.electric[d.elements.dofs[strand][:, :3]]
    assert found.peak == pytest.approx(SIGMA * np.abs(corners).max(), rel=0.03 if depths < 1 else 0.06)


def far(strands: Strands, depths: float, accuracy: float = 1e-3) -> Solution:
    """A bundle whose current returns in a thin wire two diameters away."""
    one = lead("lead", strands, 1.2e-4)
    back = Conductor(Part("wire", round_bar(1e-4).placed((2.5e-3, 1e-3))), COPPER)
    problem = Problem((one, back), (Circuit("pad", 1.0, ("lead",), ("wire",)),))
    return solve(problem, frequency_at(depths), accuracy=accuracy)


def test_thin_wires_beside_a_thin_wire() -> None:
    """Mutual inductance -mu0 / 2 pi ln d of parallel wires (F. W. Grover, Inductance Calculations, from memory)."""
    strands, depths = Strands(91, SIZE, lay="straight", gathered=True), 0.07
    found = strand_densities(far(strands, depths), {})[0]
    places = np.append(1.2e-4 * strand_places(91, "hexagonal") @ [1, 1j], 2.5e-3 + 1e-3j)
    apart = np.abs(places[:, None] - places) + SIZE / 2 * math.exp(-0.25) * np.eye(92)
    wires = np.eye(92) / (SIGMA * math.pi * SIZE**2 / 4) - 1j * frequency_at(depths) * MU0 * np.log(apart)
    ends = np.column_stack((np.arange(92) < 91, np.arange(92) == 91)).astype(float)
    each = np.linalg.solve(wires, ends)
    exact = each @ np.linalg.solve(ends.T @ each, [1.0, -1.0])
    assert found is not None
    checked(found, exact[:91], lead("lead", strands, 1.2e-4), 5e-4)


def test_harmonics_along_the_outline() -> None:
    solution = far(Strands(61, SIZE, lay="straight", gathered=True), 0.2, 1e-2)
    d = solution.fine.discretisation
    places = np.zeros((d.elements.count, 2))
    rows = np.arange(len(d.mesh.triangles))
    places[d.elements.dofs] = d.elements.positions(rows, lattice(d.order)[:, 1:] / d.order)
    found = outline_harmonics(d, solution.problem, 0) @ (places @ [1, 1j])
    expected = np.zeros(2 * HARMONICS + 1)
    expected[HARMONICS + 1] = float(solution.problem.conductors[0].part.bounds[1, 0])
    assert np.abs(found - expected).max() < 1e-6 * expected.max()


def test_where_places_are_not_known_the_bar_of_the_smooth_medium_holds() -> None:
    """A square of 8 x 8 alone: multipoles of all strands."""
    pitch = 1.2e-4
    strands = Strands(64, SIZE, "square", "straight")
    one = Conductor(Part("lead", bar(8 * pitch, 8 * pitch)), COPPER, strands=strands)
    for depths in (0.2, 0.8, 1.4):
        frequency = frequency_at(depths)
        problem = Problem((one,), (Circuit("pad", 1.0, ("lead",)),))
        assert not has_places(problem, 0)
        (found,) = strand_densities(solve(problem, frequency, accuracy=1e-2), {})
        places = pitch * strand_places(64, "square") @ [1, 1j]
        exact = np.linalg.solve(impedance(places, [[k] for k in range(64)], SIZE, SIGMA, frequency), np.ones(64))
        size = np.abs(exact / exact.sum())
        assert found is not None
        assert found.most_at is None
        assert max(abs(found.least - size.min()), abs(found.most - size.max())) < found.error


def test_direct_current_is_shared_evenly() -> None:
    one = lead("lead", Strands(61, SIZE, lay="straight", gathered=True), 1.2e-4)
    (found,) = strand_densities(solve(Problem((one,), (Circuit("pad", 61.0, ("lead",)),)), 0.0, accuracy=1e-2), {})
    assert found is not None
    assert (found.least, found.most, found.error) == pytest.approx((1.0, 1.0, 0.0))
