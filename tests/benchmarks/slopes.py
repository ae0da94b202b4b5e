"""What all slopes of a section cost over its solve: wanted under a quarter for every shape; processor time in one run.

    python tests/benchmarks/slopes.py
"""

import time
from collections.abc import Callable
from functools import partial

import numpy as np

from crosscurrent.geometries.plane import shapes
from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.shapes import Shape
from crosscurrent.solver.field.changes import Change
from crosscurrent.solver.field.problem import Circuit, Conductor, Problem
from crosscurrent.solver.field.slopes import slopes
from crosscurrent.solver.field.solve import solve
from crosscurrent.solver.metals.materials import Material

WANTED, RUNS, HAIR = 0.25, 12, 1e-6
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


def ratio(made: Callable[[float], Problem], frequency: float, *, each: bool) -> float:
    """Processor time of the slopes over that of the solve, of some runs together: clocks may tick in 4 ms."""
    solve(made(0.04), frequency)  # what is made once
    changes = [Change("size", made(0.04 * (1 + HAIR)), 0.04 * HAIR)]
    solving = sloping = 0.0
    for _ in range(RUNS):
        start = time.process_time()
        solution = solve(made(0.04), frequency, keep=each)
        solved = time.process_time()
        _ = solution.fine.force, solution.coarse.force  # which every run reads
        begun = time.process_time()
        slopes(solution, changes, each=each)
        sloping += time.process_time() - begun
        solving += solved - start
    return sloping / solving


def main() -> None:
    """Print the ratios, the worst last."""
    cases = {f"{name}, {m.name}": partial(pair, name, m) for name in SHAPES for m in (COPPER, IRON)}
    cases |= {f"{count} bars in three phases": partial(phases, count) for count in (6, 12)}
    worst = [0.0, 0.0]
    for name, made in cases.items():
        for frequency in (0.0, 50.0, 5e3, 85e3) if "phases" not in name else (50.0, 5e3):
            plain, each = (ratio(made, frequency, each=which) for which in (False, True))
            worst = [max(worst[0], plain), max(worst[1], each)]
            print(f"{name}, {frequency:g} Hz: {plain:.3f}; with losses and forces of each {each:.3f}", flush=True)
    print(f"worst {worst[0]:.3f}; with each {worst[1]:.3f}, wanted {WANTED}")


if __name__ == "__main__":
    main()
