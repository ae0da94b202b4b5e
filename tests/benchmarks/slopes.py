"""What all slopes of a section cost over its solve: wanted under a quarter for every shape; processor time in one run.

    OMP_NUM_THREADS=1 python tests/benchmarks/slopes.py

Sections of one shape that grows, coils round an axis over all their sizes, then shipped cases over every figure that
[slopes] tells of; a minute or two. What makes the changed problems of a case is told apart: once for all frequencies.
"""

import sys
import time
from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import partial
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from crosscurrent.casefile.case import checked_case
from crosscurrent.casefile.reader import read_case
from crosscurrent.casefile.variables import as_written
from crosscurrent.geometries.plane import shapes
from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.shapes import Shape
from crosscurrent.solver.field.changes import Change
from crosscurrent.solver.field.problem import Circuit, Conductor, Problem
from crosscurrent.solver.field.slopes import slopes
from crosscurrent.solver.field.solve import solve
from crosscurrent.solver.metals.materials import Material
from crosscurrent.topics.slopes import changes_of, higher
from crosscurrent.topics.slopes_asked import EACH, asked

ROOT = Path(__file__).resolve().parents[2]
WANTED, RUNS, HAIR = 0.25, 4, 1e-6
COPPER, IRON = Material("copper", 58e6), Material("iron", 5e6, permeability=200.0)
SHAPES: dict[str, Callable[[float], Shape]] = {
    "rods": lambda size: shapes.round_bar(0.5 * size),
    "tubes": lambda size: shapes.tube(0.5 * size, 0.04 * size),
    "bars": lambda size: shapes.bar(0.12 * size, size),
    "rounded bars": lambda size: shapes.bar(0.12 * size, size, 0.02 * size),
    "boxes": lambda size: shapes.box(0.5 * size, 0.7 * size, 0.08 * size, 0.05 * size, 0.03 * size),
    "angles": lambda size: shapes.angle(0.6 * size, size, 0.1 * size),
}


def pair(name: str, metal: Material, size: float) -> Problem:
    """Go and return of one shape, a fifth of its size apart."""
    shape = SHAPES[name](size)
    step = float(np.ptp(shape.outer.bounds, axis=0)[0]) + 0.2 * 0.04
    one, other = (Conductor(Part(n, shape.placed((x, 0.0))), metal) for n, x in (("go", 0.0), ("back", step)))
    return Problem((one, other), (Circuit("feed", 1.0, ("go",), ("back",)),))


def phases(count: int, size: float) -> Problem:
    """So many bars side by side, in three phases."""
    shape = shapes.bar(0.12 * size, size)
    bars = [Conductor(Part(f"b{k}", shape.placed((0.012 * k, 0.0))), COPPER) for k in range(count)]
    each, turn = count // 3, np.exp(-2j * np.pi / 3)
    names = [tuple(one.name for one in bars[p * each : (p + 1) * each]) for p in range(3)]
    return Problem(tuple(bars), tuple(Circuit(f"L{p}", 100 * turn**p, names[p]) for p in range(3)))


def coil(sizes: dict[str, float]) -> Problem:
    """Two turns of tube round a billet, a closed ring between."""
    def part(name: str, shape: Shape, x: float, y: float, sigma: float = 58e6) -> Conductor:
        return Conductor(Part(name, shape.placed((x, y))), Material(name, sigma))

    tube = shapes.tube(sizes["tube"], sizes["wall"])
    turns = [part(f"turn {k}", tube, sizes["radius"], (k - 0.5) * sizes["pitch"]) for k in range(2)]
    billet = part("billet", shapes.bar(2 * sizes["billet"], sizes["long"]), 0.0, 0.0, 8e5)
    ring = replace(part("ring", shapes.bar(0.003, 0.02), sizes["ring"], 0.003), closed=True)
    circuit = Circuit("coil", 100.0, ("turn 0", "turn 1"), (), "series")
    return Problem((billet, *turns, ring), (circuit,), axial=True)


SIZES = {"billet": 0.03, "long": 0.08, "tube": 0.012, "wall": 0.0015, "radius": 0.046, "pitch": 0.015, "ring": 0.036}
SHIPPED = ("feed-facing", "shuttle-trefoil-neutral", "t-slot-busbar", "four-bars-interleaved", "pad-lead-tube",
           "switchboard-three-phase", "brazing-coil")  # fmt: skip


def grown(made: Callable[[float], Problem]) -> list[Change]:
    """One shape, larger by a hair."""
    return [Change("size", made(0.04 * (1 + HAIR)), 0.04 * HAIR)]


def resized() -> list[Change]:
    """The coil, each of its sizes larger by a hair."""
    return [Change(k, coil({**SIZES, k: v * (1 + HAIR)}), v * HAIR) for k, v in SIZES.items()]


def ratio(
    made: Callable[[], Problem], changes: Callable[[], Sequence[Change]], frequency: float, *, each: bool
) -> float:
    """Processor time of the slopes over that of the solve, of some runs together: clocks may tick in 4 ms."""
    solve(made(), frequency)  # what is made once
    solving = sloping = 0.0
    for _ in range(RUNS):
        apart = changes()
        start = time.process_time()
        solution = solve(made(), frequency, keep=each)
        solved = time.process_time()
        _ = solution.force_errors  # which every run reads
        begun = time.process_time()
        slopes(solution, apart, each=each)
        sloping += time.process_time() - begun
        solving += solved - start
    return sloping / solving


def shipped(name: str) -> tuple[int, float, float]:
    """Figures of a case, its slopes over its solve, and over the same what makes the changed problems."""
    read = read_case(ROOT / "cases" / f"{name}.toml")
    case = checked_case({**as_written(read), "slopes": {}}, path=read.path)
    problem, frequency = case.problem(), case.frequencies[0]
    solution = solve(problem, frequency)

    def changes() -> list[Change]:
        own = [one for one in asked(case) if one.problem and one.case is case]
        return [*changes_of(case, solution, own), *([higher(solution)] if frequency else [])]

    start = time.process_time()
    count = len(changes())
    making = time.process_time() - start
    start = time.process_time()
    solve(problem, frequency, keep=True)
    making /= time.process_time() - start
    each = len(problem.conductors) <= EACH
    return count, ratio(lambda: problem, changes, frequency, each=each), making


def main() -> None:
    """Print the ratios, the worst last."""
    cases = {f"{name}, {m.name}": partial(pair, name, m) for name in SHAPES for m in (COPPER, IRON)}
    cases |= {f"{count} bars in three phases": partial(phases, count) for count in (6, 12)}
    rows = [
        (f"{name}, {f:g} Hz", partial(made, 0.04), partial(grown, made), f)
        for name, made in cases.items()
        for f in ((0.0, 50.0, 5e3, 85e3) if "phases" not in name else (50.0, 5e3))
    ]
    rows += [(f"coil, {len(SIZES)} sizes, {f:g} Hz", partial(coil, SIZES), resized, f) for f in (0.0, 1e3, 5e4)]
    worst = [0.0, 0.0, 0.0]
    for name, made, changes, frequency in rows:
        plain, each = (ratio(made, changes, frequency, each=which) for which in (False, True))
        worst[:2] = max(worst[0], plain), max(worst[1], each)
        print(f"{name}: {plain:.3f}; with losses and forces of each {each:.3f}", flush=True)
    for name in SHIPPED:
        count, each, making = shipped(name)
        worst[2] = max(worst[2], each)
        print(f"{name}, {count} figures: {each:.3f}; what makes their problems {making:.2f}", flush=True)
    print(f"worst {worst[0]:.3f}; with each {worst[1]:.3f}, shipped cases {worst[2]:.3f}, wanted {WANTED}")


if __name__ == "__main__":
    main()
