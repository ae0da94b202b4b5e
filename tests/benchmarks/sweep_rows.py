"""Benchmark of sweeps: what a thousand frequencies take, counted in direct solves on the same mesh at the same order.

Run from the checkout:  python tests/benchmarks/sweep_rows.py
Ratios of times in one run count; the times themselves depend on the machine.
"""

from __future__ import annotations

import cmath
import math
import sys
import time
from collections.abc import Callable
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

import numpy as np
from threadpoolctl import threadpool_limits

from crosscurrent.geometries.meshing.mesh import Mesh
from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.shapes import bar
from crosscurrent.solver.band.band_mesh import band_mesh
from crosscurrent.solver.band.passes import reduce
from crosscurrent.solver.band.ports import ports_of
from crosscurrent.solver.band.reduced import Reduced
from crosscurrent.solver.band.sweep import Sweep, sweep
from crosscurrent.solver.field.discretisation import Discretisation
from crosscurrent.solver.field.problem import Circuit, Conductor, Problem
from crosscurrent.solver.field.region_metals import smooth_metals
from crosscurrent.solver.field.solution import Solution
from crosscurrent.solver.field.solve import solve
from crosscurrent.solver.field.solved_flow import SolvedFlow
from crosscurrent.solver.field.unit_fields import solve_fields
from crosscurrent.solver.metals.materials import MATERIALS

LOW, HIGH, POINTS = 10.0, 1e7, 1000
SINGLES, LIFTED = 7, 1e3  # single solves; frequency from which the lifted form is used [Hz]
COPPER, ALUMINIUM, STEEL = (MATERIALS[m] for m in ("copper", "aluminium-1350", "steel"))


def _bar(name: str, width: float, thickness: float, x: float, y: float, metal: object = COPPER) -> Conductor:
    return Conductor(Part(name, bar(width, thickness).placed((x, y))), metal)  # type: ignore[arg-type]


def sections() -> dict[str, Problem]:
    """What is swept."""
    pair = (_bar("out", 0.1, 0.006, 0, 0.0035), _bar("back", 0.1, 0.006, 0, -0.0035))
    four = tuple(_bar(f"b{k}", 0.06, 0.006, 0, 0.009 * k, (COPPER, ALUMINIUM)[k % 2]) for k in range(4))
    wall = (_bar("bar", 0.06, 0.01, 0, 0), _bar("wall", 0.15, 0.003, 0, -0.02, STEEL))
    phases = tuple(_bar(n, 0.01, 0.06, x, 0) for n, x in zip("ABC", (-0.04, 0.0, 0.04), strict=True))
    turn = cmath.exp(-2j * math.pi / 3)
    return {
        "bar pair": Problem(pair, (Circuit("feed", 100, ("out",), ("back",)),)),
        "four bars, two metals": Problem(four, (Circuit("feed", 100, ("b0", "b1"), ("b2", "b3")),)),
        "bar and steel wall": Problem(wall, (Circuit("feed", 100, ("bar",)),)),
        "three phases": Problem(phases, tuple(Circuit(n, 100 * turn**k, (n,)) for k, n in enumerate("ABC"))),
    }


def _best(times: int, work: Callable[[], object]) -> float:
    """Shortest of several timings [s]."""
    taken = []
    for _ in range(times):
        begin = time.process_time()
        work()
        taken.append(time.process_time() - begin)
    return min(taken)


def _pair(problem: Problem, mesh: Mesh, frequency: float) -> None:
    """What a single solve does on a mesh that is good enough: two orders and the bars between them."""
    flows = []
    for order in (3, 4):
        d = Discretisation(mesh, smooth_metals(problem), order)
        flows.append(SolvedFlow.of(problem, solve_fields(d, frequency, lifted=frequency > LIFTED)))
    _ = Solution(problem, frequency, flows[1], flows[0], 0, 1e-3).bound


def _error(problem: Problem, d: Discretisation, model: Reduced) -> float:
    """Largest relative error of R and L of any circuit at ten random frequencies, against direct solves."""
    currents, off = np.array([c.current for c in problem.circuits]), 0.0
    for f in 10 ** np.random.default_rng(3).uniform(math.log10(LOW), math.log10(HIGH), 10):
        flow = SolvedFlow.of(problem, solve_fields(d, f, lifted=f > LIFTED))
        exact = np.array([flow.circuit(c) for c in problem.circuits]) / currents
        own = model.foster.impedance(f)[0] @ currents / currents
        off = max(off, float(np.abs(own.real / exact.real - 1).max()), float(np.abs(own.imag / exact.imag - 1).max()))
    return off


def _loss_error(problem: Problem, found: Sweep) -> float:
    """Largest relative error of the loss of any conductor from the reduced model, at ten random frequencies."""
    some, off = 10 ** np.random.default_rng(4).uniform(math.log10(LOW), math.log10(HIGH), 10), 0.0
    d, own = found.fine.model.discretisation, found.at([float(f) for f in some]).fine.losses
    for f, losses in zip(some, own, strict=True):
        exact = SolvedFlow.of(problem, solve_fields(d, f, lifted=f > LIFTED)).powers.real
        off = max(off, float(np.abs(losses / exact - 1).max()))
    return off


def row(name: str, problem: Problem) -> str:
    """Costs of the reduced model counted in direct solves on one mesh, its error, and the cost of the whole sweep."""
    d = Discretisation(band_mesh(problem, LOW, HIGH), smooth_metals(problem), 4)
    _ = d.stiffness, d.mass, d.lift_load, d.conductance
    direct = _best(3, lambda: solve_fields(d, 1e5, lifted=True))
    ports, frequency = ports_of(problem), np.geomspace(LOW, HIGH, POINTS)
    offline = _best(2, lambda: reduce(d, ports, LOW, HIGH))
    matrix = _best(1, lambda: reduce(d, ports_of(problem, matrix=True), LOW, HIGH))
    model = reduce(d, ports, LOW, HIGH)
    online = _best(3, lambda: model.foster.impedance(frequency))
    whole = _best(2, lambda: sweep(problem, frequency).bounds)
    found = sweep(problem, frequency)
    mesh = found.fine.model.discretisation.mesh
    some = [float(f) for f in np.geomspace(LOW, HIGH, SINGLES)]
    same = float(np.mean([_best(2, lambda f=f: _pair(problem, mesh, f)) for f in some]))
    alone = float(np.mean([_best(1, lambda f=f: solve(problem, f)) for f in some]))
    highest = _best(2, lambda: solve(problem, HIGH))
    return (
        f"{name:<24}{d.elements.count:>9}{len(model.foster.rates):>6}{direct:>9.3f}{offline / direct:>8.2f}"
        f"{matrix / direct:>8.2f}{online / direct:>8.4f}{_error(problem, d, model):>9.1e}"
        f"{_loss_error(problem, found):>9.1e}{whole:>9.2f}{whole / same:>10.1f}{whole / highest:>10.1f}"
        f"{whole / alone:>10.1f}{POINTS * alone / whole:>7.0f}"
    )


if __name__ == "__main__":
    threadpool_limits(1)
    print(
        f"{LOW:g} Hz .. {HIGH:g} Hz, {POINTS} points, processor time of one thread. One reduced model for R and L to\n"
        "1e-6, in direct solves on the same mesh: by circuits, by conductors, all points online; its error. The error\n"
        "of single conductors' losses in the whole sweep. The whole sweep with its meshes and bars, over the mean\n"
        "single solve on the same mesh; over solves with meshes of their own, at the highest frequency and the mean\n"
        "one; how many times as many of the last would take as long."
    )
    print(
        f"{'section':<24}{'unknowns':>9}{'modes':>6}{'direct':>9}{'model':>8}{'matrix':>8}{'online':>8}{'error':>9}"
        f"{'loss':>9}{'sweep s':>9}{'/ on it':>10}{'/ highest':>10}{'/ single':>10}{'gain':>7}"
    )
    for name, problem in sections().items():
        print(row(name, problem), flush=True)
