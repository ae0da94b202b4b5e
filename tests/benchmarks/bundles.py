"""Benchmark: bundles of strands over solid rods of the same size, and sweeps over single solves.

Run from the checkout:  OMP_NUM_THREADS=1 PYTHONPATH=. python tests/benchmarks/bundles.py
Processor time with one thread, the shortest of some, each in turn.
"""

from __future__ import annotations

import math
import time
from collections.abc import Callable
from functools import partial
from itertools import product

import numpy as np

from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.shapes import bar, round_bar
from crosscurrent.solver.band.sweep import sweep
from crosscurrent.solver.field.problem import Circuit, Conductor, Problem
from crosscurrent.solver.field.solve import solve
from crosscurrent.solver.metals.materials import MATERIALS
from crosscurrent.solver.metals.strands import Lay, Strands

COPPER, TIMES = MATERIALS["copper"], 5
AWAY = (4.5e-3, 5e-3, 6e-3, 8e-3)  # middle of the bar from that of the leads [m]
LAYS: tuple[Lay, ...] = ("transposed", "straight")
STRAND, PACKED = 0.1e-3, 0.55  # diameter [m]; copper over area
BAND = np.geomspace(1e3, 1e6, 1000)  # [Hz]
FREQUENCIES = BAND[[0, 333, 666, 999]]  # of the single solves


def alone(count: int, *, solid: bool, lay: Lay = "transposed") -> Problem:
    """One lead."""
    return Problem((_lead("a", count, 0.0, solid, lay),), (Circuit("feed", 1.0, ("a",)),))


def beside_a_bar(count: int, *, solid: bool, away: float = 5e-3, lay: Lay = "transposed") -> Problem:
    """Go and return above a bar that carries no net current."""
    leads = (_lead("a", count, -1.0, solid, lay), _lead("b", count, 1.0, solid, lay))
    plate = Conductor(Part("plate", bar(20e-3, 2e-3).placed((0.0, -away))), COPPER)
    return Problem((*leads, plate), (Circuit("feed", 1.0, ("a",), ("b",)),))


def _lead(name: str, count: int, side: float, solid: bool, lay: Lay = "transposed") -> Conductor:
    diameter = STRAND * math.sqrt(count / PACKED)
    strands = None if solid else Strands(count, STRAND, lay=lay, gathered=lay == "straight")
    return Conductor(Part(name, round_bar(diameter).placed((0.75 * side * diameter, 0.0))), COPPER, strands=strands)


def solved(problem: Problem) -> None:
    """One frequency after the other."""
    for frequency in FREQUENCIES:
        solve(problem, float(frequency))


def swept(problem: Problem, *, matrix: bool = False) -> None:
    """With its bars at every point; `matrix` is that of all conductors, as a run asks for up to two dozen of them."""
    found = sweep(problem, BAND, matrix=matrix)
    assert found.bounds.max() < found.wanted
    assert np.isfinite(found.circuit_errors(problem.circuits[0])).all()


def on_the_mesh_of_the_sweep(problem: Problem) -> Callable[[], None]:
    """One solve with its bars there, at no frequency refined."""
    mesh = sweep(problem, BAND).fine.model.discretisation.mesh

    def work() -> None:
        assert solve(problem, float(FREQUENCIES[1]), start=mesh, accuracy=1.0).bound < 1.0

    return work


def taken(*works: Callable[[], None]) -> list[float]:
    """Processor time of each, in turn, the shortest of some [s]."""
    rounds = []
    for _ in range(TIMES):
        times = []
        for work in works:
            before = time.process_time()
            work()
            times.append(time.process_time() - before)
        rounds.append(times)
    return np.min(rounds, axis=0).tolist()


def main() -> None:
    """Print the ratios."""
    sections: list[tuple[str, Callable[..., Problem], int]] = [
        ("10000 strands alone", partial(alone, 10_000), 2),
        ("the same in rings", partial(alone, 10_000, lay="concentric"), 2),
    ]
    sections.append(("the same, straight", partial(alone, 10_000, lay="straight"), 2))
    for away, lay in product(AWAY, LAYS):
        name = f"two of 1000 strands, {lay}, a bar {1e3 * away:g} mm away"
        sections.append((name, partial(beside_a_bar, 1000, away=away, lay=lay), 3))
    for name, section, most in sections:
        bundle, rod = section(solid=False), section(solid=True)
        works = [partial(f, p) for f in (solved, swept, partial(swept, matrix=True)) for p in (bundle, rod)]
        strands, solid, *bands, direct = taken(*works, on_the_mesh_of_the_sweep(bundle))
        print(f"{name}: {strands / solid:.2f} times solid rods of the same size (wanted {most})")
        over, rods = (len(FREQUENCIES) * b / s for b, s in zip(bands[:2], (strands, solid), strict=True))
        print(f"  sweep of {len(BAND)} points: {bands[0] / direct:.2f} direct solves on its mesh (wanted 6)")
        print(f"    {over:.2f} single solves over the band, each on a mesh of its own (of rods {rods:.2f})")
        print(f"    {bands[0] / bands[1]:.2f} times the sweep of rods (wanted 1)", end="")
        print(f", {bands[2] / bands[3]:.2f} with the matrix of all conductors")


if __name__ == "__main__":
    main()
