"""Slopes of bundles against differences of tight solves, a moved mesh and the law of similarity."""

from __future__ import annotations

import os
from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
from common import COPPER, bar, metal, pair

from crosscurrent.geometries.meshing.mesher import mesh_section
from crosscurrent.geometries.plane import shapes
from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.section import Section
from crosscurrent.geometries.plane.shapes import Shape
from crosscurrent.solver.elements.operators import Elements
from crosscurrent.solver.field.changes import Change
from crosscurrent.solver.field.peak_force import instant
from crosscurrent.solver.field.problem import Bound, Circuit, Conductor, Problem
from crosscurrent.solver.field.slopes import Slope, slopes
from crosscurrent.solver.field.solution import Solution
from crosscurrent.solver.field.solve import solve
from crosscurrent.solver.field.strand_forms import mean_gains
from crosscurrent.solver.metals.strand_layout import rings, strand_places
from crosscurrent.solver.metals.strands import Lay, Strands

HAIR = 1e-6
SIGMA = COPPER.conductivity
Maker = Callable[..., Problem]


def lead(
    name: str, shape: Shape, x: float, count: int, strand: float, lay: Lay, sigma: float = SIGMA, warm: float = 20.0
) -> Conductor:
    layout = "rings" if lay == "concentric" else "hexagonal"
    strands = Strands(count, strand, layout, lay, 1.02, gathered=len(shape.outer.points) == 4)
    of = replace(COPPER, conductivity=sigma, temperature_coefficient=0.004)
    return Conductor(Part(name, shape.placed((x, 0.0))), of, warm, strands=strands)


def beside(lay: Lay, count: int = 420) -> Maker:
    """A pair of bundles beside a bar in no circuit."""
    def make(outer=4e-3, gap=1.9e-3, strand=1e-4, sigma=SIGMA, width=0.02, aside=1e-3, warm=20.0) -> Problem:
        one, other = (lead(n, shapes.round_bar(outer), x, count, strand, lay, sigma, warm)
                      for n, x in (("a", 0.0), ("b", outer + gap)))  # fmt: skip
        feed = Circuit("feed", 100.0, ("a",), ("b",))
        return Problem((one, other, bar("c", width, 3e-3, aside, -0.5 * outer - 1.5e-3 - gap)), (feed,))

    return make


def pressed(lay: Lay) -> Maker:
    """Strands pressed into a bar, and a bar that returns their current."""
    def make(width=6e-3, thickness=2e-3, strand=1e-4, gap=1e-3) -> Problem:
        one = lead("a", shapes.bar(width, thickness, 3e-4), 0.0, 600, strand, lay)
        return pair(one, bar("b", 0.01, 2e-3, 1e-3, -0.5 * thickness - 1e-3 - gap))

    return make


def parallel(lay: Lay) -> Maker:
    """Two bundles of unlike strands that share a current, and a bar."""
    def make(outer=4e-3, gap=1.9e-3, strand=1e-4, other=8e-5) -> Problem:
        rod = shapes.round_bar(outer)
        ends = lead("a", rod, 0.0, 420, strand, lay), lead("a2", rod, outer + gap, 420, other, "transposed")
        return Problem((*ends, bar("b", 0.02, 3e-3, 5e-3, -0.5 * outer - 1.5e-3 - gap)),
                       (Circuit("feed", 100.0, ("a", "a2"), ("b",)),))  # fmt: skip

    return make


def seven(lay: Lay, leads: int = 1) -> Maker:
    """Bundles of seven strands that are solved for one by one, in parallel, and a bar that returns their current."""
    def make(pitch=1.2e-3, strand=1e-3, gap=3e-3, sigma=SIGMA) -> Problem:
        found, bundles = [], []
        for n in range(leads):
            members = tuple(f"{n}.{k}" for k in range(7))
            found += [
                Conductor(Part(name, shapes.round_bar(strand).placed((6e-3 * n + pitch * x, pitch * y))), metal(sigma))
                for name, (x, y) in zip(members, strand_places(7, "hexagonal"), strict=True)
            ]
            bundles.append(Bound(str(n), members, lay, tuple(rings(7, "hexagonal"))))
        out = tuple(c.name for c in found)
        back = bar("b", 0.01, 2e-3, 1e-3, -1.5 * pitch - 1e-3 - gap)
        return Problem((*found, back), (Circuit("feed", 100.0, out, ("b",)),), bundles=tuple(bundles))

    return make


def turns(lay: Lay) -> Maker:
    """Two turns in series round an axis, above a ring that is closed on itself."""
    def make(outer=4e-3, gap=1.9e-3, strand=1e-4, radius=0.03) -> Problem:
        found = []
        for name, z in (("a", 0.0), ("b", outer + gap)):
            part = Part(name, shapes.round_bar(outer).placed((radius, z)))
            found.append(replace(lead(name, part.shape, 0.0, 420, strand, lay), part=part))
        ring = replace(bar("c", 4e-3, 3e-3, radius, -0.5 * outer - 1.5e-3 - gap), closed=True)
        return Problem((*found, ring), (Circuit("coil", 10.0, ("a", "b"), sharing="series"),), axial=True)

    return make


def figures(solution: Solution) -> np.ndarray:
    """R and L of the circuit, the loss of every conductor, and the peak force on each; of turns along the axis."""
    flow, (circuit,) = solution.fine, solution.problem.circuits
    forces = []
    for mean, swing in zip(flow.force, flow.forces.swing, strict=True):
        if solution.problem.axial:
            forces.append(abs(mean[1]) + abs(swing[1]) * bool(flow.frequency))
        else:
            turn = np.exp(2j * instant(mean, swing)) if flow.frequency else 0.0
            forces.append(float(np.hypot(*(mean + (swing * turn).real))))
    resistance = (flow.circuit(circuit) / circuit.current).real
    return np.array([resistance, flow.inductance(circuit), *flow.powers.real, *forces])


def found(slope: Slope) -> tuple[np.ndarray, np.ndarray]:
    """Slopes of `figures` and their bars."""
    own = slope.own
    assert own is not None
    bars = slope.resistance_error[0], slope.inductance_error[0], *own.losses_error, *own.forces_error
    return np.array([slope.resistance[0], slope.inductance[0], *own.losses, *own.forces]), np.array(bars)


PAIR = {"outer": 4e-3, "gap": 1.9e-3, "strand": 1e-4, "sigma": SIGMA, "width": 0.02, "aside": 1e-3, "warm": 20.0}
BAR = {"width": 6e-3, "thickness": 2e-3, "strand": 1e-4, "gap": 1e-3}
SHARED = {"outer": 4e-3, "gap": 1.9e-3, "strand": 1e-4, "other": 8e-5}
SEVEN = {"pitch": 1.2e-3, "strand": 1e-3, "gap": 3e-3, "sigma": SIGMA}
RING = {"outer": 4e-3, "gap": 1.9e-3, "strand": 1e-4, "radius": 0.03}
FEW: list[tuple[Maker, float, dict[str, float]]] = [
    (beside("transposed"), 85e3, {"outer": 4e-3}), (parallel("straight"), 2e3, {"frequency": 2e3}),
    (parallel("transposed"), 0.0, {"outer": 4e-3, "strand": 1e-4}), (seven("concentric"), 0.0, {"pitch": 1.2e-3}),
    (seven("straight"), 2e3, {"strand": 1e-3}),
]  # fmt: skip
MANY: list[tuple[Maker, float, dict[str, float]]] = [
    *((beside(lay, n), f, PAIR) for lay, n in (("transposed", 420), ("straight", 420), ("concentric", 61))
      for f in (0.0, 2e3, 85e3, 500e3)),
    *((pressed(lay), f, BAR) for lay in ("transposed", "straight") for f in (0.0, 5e3, 85e3)),
    *((parallel(lay), f, SHARED) for lay in ("transposed", "straight") for f in (0.0, 2e3, 85e3)),
    *((seven(lay, n), f, SEVEN) for lay in ("transposed", "concentric", "straight") for n in (1, 2)
      for f in (0.0, 5e3)),
    *((seven(lay), 85e3, SEVEN) for lay in ("transposed", "concentric", "straight")),
    *((turns(lay), f, RING) for lay in ("transposed", "straight") for f in (0.0, 1e3, 85e3)),
]  # fmt: skip
MANY = [(make, f, {**keys, "frequency": f} if f else keys) for make, f, keys in MANY]


@pytest.mark.parametrize("row", MANY if os.environ.get("CROSSCURRENT_EXAMPLES") else FEW)
def test_slopes_of_bundles_are_the_differences_of_tight_solves(row: tuple[Maker, float, dict[str, float]]) -> None:
    make, frequency, keys = row
    keys = {key: value for key, value in keys.items() if key != "frequency"}
    solution = solve(make(**keys), frequency, accuracy=1e-4)
    changes = [Change(k, make(**{**keys, k: v * (1 + HAIR)}), HAIR * v) for k, v in keys.items()]
    points: dict[str, Callable[[float], Solution]] = {
        key: lambda v, k=key: solve(make(**{**keys, k: v}), frequency, accuracy=1e-7) for key in keys  # type: ignore[misc]
    }
    if "frequency" in row[2]:
        changes.append(Change("frequency", solution.problem, HAIR * frequency, HAIR * frequency))
        points["frequency"] = lambda f: solve(solution.problem, f, accuracy=1e-7)
    now = figures(solution)
    for slope, (key, at) in zip(slopes(solution, changes, each=True), points.items(), strict=True):
        value = keys.get(key, frequency)
        near = [figures(at(value * (1 + 0.01 * n))) for n in (-2, -1, 1, 2)]
        wanted = (8 * (near[2] - near[1]) - (near[3] - near[0])) / (0.12 * value)
        got, open_ = found(slope)
        told = np.isfinite(got)  # no force that does not stand out from its bar
        assert told[: 2 + len(solution.problem.conductors)].all()
        unseen = 5e-6 * np.abs(now) / value  # what solves to 1e-7 and a step of a hundredth can tell
        assert (np.abs(got - wanted) <= open_ + unseen)[told].all(), key
        sizes = np.fmax(np.abs(wanted), 0.03 * np.abs(now) / value)
        assert (np.abs(got - wanted) <= 1e-3 * sizes)[told].all(), key


def test_the_force_on_seven_strands_together_is_that_on_their_return() -> None:
    """At the instant of its peak, whatever the strands do to each other."""
    solution = solve(seven("straight")(), 5e3, accuracy=1e-4)
    values = {"pitch": 1.2e-3, "gap": 3e-3}
    changes = [Change(k, seven("straight")(**{k: v * (1 + HAIR)}), HAIR * v) for k, v in values.items()]
    for slope in slopes(solution, changes, each=True, whole=True):
        assert slope.own is not None
        forces, peaks = slope.own.forces, slope.own.peaks
        assert forces[:7].sum() == pytest.approx(forces[7], rel=1e-4)
        assert peaks[:7].sum() == pytest.approx(peaks[7], rel=1e-5)
        assert np.abs(forces[:7]).sum() > 1.5 * abs(forces[7]) or slope.key == "gap"


@pytest.mark.parametrize("lay", ["transposed", "concentric", "straight"])
def test_similarity_of_bundles(lay: Lay) -> None:
    """All lengths times s, frequency over s^2, R times s^2; conductivity alone does what frequency does, but for w."""
    def make(scale: float = 1.0, sigma: float = 1.0) -> Problem:
        leads = [lead(n, shapes.round_bar(4e-3 * scale), x * scale, 61, 3e-4 * scale, lay, sigma * SIGMA)
                 for n, x in (("a", 0.0), ("b", 7e-3))]  # fmt: skip
        wall = bar("c", 0.02 * scale, 3e-3 * scale, y=-5e-3 * scale, material=metal(sigma * SIGMA))
        return Problem((*leads, wall), (Circuit("feed", 100.0, ("a",), ("b",)),))

    solution = solve(make(), 85e3)
    size, sigma, faster = slopes(solution, [
        Change("scale", make(1 + 1e-7), 1e-7), Change("sigma", make(sigma=1 + 1e-7), 1e-7),
        Change("frequency", make(), 1e-7, 1e-7 * 85e3),
    ])  # fmt: skip
    resistance, inductance = figures(solution)[:2]
    assert abs(size.resistance[0] - 2 * faster.resistance[0] + 2 * resistance) < 1e-6 * resistance
    assert abs(size.inductance[0] - 2 * sigma.inductance[0]) < 1e-6 * inductance
    assert abs(faster.resistance[0] - sigma.resistance[0] - resistance) < 1e-6 * resistance
    assert abs(faster.inductance[0] - sigma.inductance[0]) < 1e-6 * inductance


def test_the_mean_over_a_moved_outline() -> None:
    """Against the same integral on the mesh with its nodes moved."""
    mesh = mesh_section(Section((Part("rod", shapes.bar(0.010, 0.006)),)), [[2e-3]])
    rng, step = np.random.default_rng(5), 1e-7
    by = rng.normal(size=(len(mesh.points), 2)) * (np.hypot(*mesh.points.T) < 0.9 * mesh.radius)[:, None] * 1e-3
    rows, field = np.flatnonzero(mesh.part == 0), rng.normal(size=Elements(mesh, 3).count)
    means = []
    for sign in (-1, 1):
        elements = Elements(replace(mesh, points=mesh.points + sign * step * by), 3)
        means.append((elements.load_blocks * field[elements.dofs[rows]]).sum() / elements.mesh.areas()[rows].sum())
    wanted = (means[1] - means[0]) / (2 * step)
    got = mean_gains(Elements(mesh, 3), rows, by[..., None])[:, 0] @ field
    assert got == pytest.approx(wanted, rel=1e-6)
