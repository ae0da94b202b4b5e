"""Benchmark: random sections, as the random tests have them but for coats, here and with the general library.

Run from the checkout, with the extra "benchmark":  OMP_NUM_THREADS=1 python tests/benchmarks/random_sections.py
A solve here ends with R, L and the loss of every conductor, with error bars; R and the losses are within the wanted
bound. The library is given the coarsest mesh and order (3 to 5) that come within 1e-4 in R, L and the loss of every
conductor with a thousandth of all loss or more, and no bars: it is charged for the mesh, the matrix, one factor, a
field for each conductor and those figures, not for its import, nor for the runs before that do not get there. (Until
R and L alone were asked of it, its coarsest run could have a loss off by 5e-3, which a solve here would not leave so;
order 3 was not tried, which is enough where skins are thick.) Processor time, the shortest of three, one thread each.
"""

from __future__ import annotations

import math
import sys
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

import numpy as np
from general_library import Trial, section_within

from crosscurrent.geometries.plane import shapes
from crosscurrent.geometries.plane.part import Part
from crosscurrent.solver.field.problem import Circuit, Conductor, Problem
from crosscurrent.solver.field.solve import solve
from crosscurrent.solver.metals.materials import Material

SECTIONS = 30
WANTED = {1e-3: 5.0, 1e-4: 3.0}  # bound on the error here: times as fast as the library, in the median
LEAST = 0.5  # and everywhere
CONVERGED, WITHIN = 1e-6, 1e-4  # bound of what the library is held against, and how near it has to come
MM = 1e-3
STEEL = Material("steel", 7e6, permeability=200.0)
METALS = (Material("copper", 58e6), Material("brass", 15.9e6), Material("bronze", 7e6), STEEL)


def random_problem(seed: int) -> tuple[Problem, float]:
    """Two or three conductors in a row, 20 um to 10 mm apart, go and return, and a frequency [Hz]."""
    draw = np.random.default_rng(seed)

    def size(low: float, high: float) -> float:
        return round(float(draw.uniform(low, high)), 3) * MM

    def shape() -> shapes.Shape:
        kind = draw.integers(6)
        if kind == 0:
            return shapes.round_bar(size(0.5, 9.5))
        if kind == 1:
            return shapes.tube(size(4, 9.5), size(0.1, 1.9))
        if kind == 2:
            return shapes.bar(size(1, 20), size(0.1, 6), float(draw.choice([0.0, 0.05 * MM])))
        if kind == 3:
            return shapes.box(size(4, 6.5), size(4, 6.5), size(0.3, 1.5), float(draw.choice([0.0, 0.2 * MM])))
        if kind == 4:
            return shapes.angle(size(4, 6.5), size(4, 6.5), size(0.5, 2))
        return shapes.channel(size(5, 6.5), size(4, 6.5), size(0.5, 1.8))

    count, edge, found = int(draw.integers(2, 4)), 0.0, []
    for k in range(count):
        turn = float(draw.choice([0.0, math.pi / 2, draw.uniform(0, 3.1)]))
        turned = shape().placed((0.0, float(draw.uniform(-3, 3)) * MM), turn)
        gap = float(f"{10 ** draw.uniform(-4.7, -2):.3g}")
        placed = turned.placed((edge + gap - turned.outer.bounds[0, 0], 0.0))
        edge = float(placed.outer.bounds[1, 0])
        found.append(Conductor(Part(f"c{k}", placed), METALS[int(draw.integers(len(METALS)))]))
    back = ("c1",) if count == 2 or draw.integers(2) else ("c1", "c2")
    problem = Problem(tuple(found), (Circuit("feed", 1.0, ("c0",), back),))
    return problem, float(f"{10 ** draw.uniform(1, 7):.3g}")


def seconds(problem: Problem, frequency: float, accuracy: float) -> float:
    """Of the processor, for a solve here: the shortest of three [s]."""
    taken = []
    for _ in range(3):
        begin = time.process_time()
        found = solve(problem, frequency, accuracy=accuracy)
        found.circuit_errors(problem.circuits[0]), found.power_errors
        taken.append(time.process_time() - begin)
    return min(taken)


def main() -> None:
    """Print the table."""
    solve(*random_problem(0))  # what a first solve loads and keeps
    columns = "".join(f"{f'here to {accuracy:g}':>16}{'faster':>8}" for accuracy in WANTED)
    print(f"{'section':>7}{'frequency':>14}{'library':>11}{columns}")
    faster: dict[float, list[float]] = {accuracy: [] for accuracy in WANTED}
    for seed in range(SECTIONS):
        problem, frequency = random_problem(seed)
        circuit, best = problem.circuits[0], solve(problem, frequency, accuracy=CONVERGED).fine
        impedance, losses = best.circuit(circuit) / circuit.current, best.powers.real / abs(circuit.current) ** 2
        known = Trial(0, 0.0, impedance.real, best.inductance(circuit), tuple(losses.tolist()))
        try:
            theirs = section_within(WITHIN, problem, frequency, known).seconds
        except RuntimeError as failed:  # none of its meshes gets there
            print(f"{seed:>7}{frequency:>11.3g} Hz  left out: {failed}", flush=True)
            continue
        row = f"{seed:>7}{frequency:>11.3g} Hz{theirs:>9.3f} s"
        for accuracy, ratios in faster.items():
            ours = seconds(problem, frequency, accuracy)
            ratios.append(theirs / ours)
            row += f"{ours:>14.3f} s{ratios[-1]:>8.2f}"
        print(row, flush=True)
    for accuracy, wanted in WANTED.items():
        median, worst = np.median(faster[accuracy]), min(faster[accuracy])
        print(
            f"to {accuracy:g}: {median:.2f} times as fast in the median (wanted {wanted:g}), "
            f"{worst:.2f} at the least (wanted {LEAST:g})"
        )


if __name__ == "__main__":
    main()
