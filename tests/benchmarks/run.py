"""Benchmarks: what a solve takes and how right it is, and the same pair of bars with a general library.

Run from the checkout:  python tests/benchmarks/run.py
The second part needs the extra:  pip install -e ".[benchmark]"
Ratios of times in one run count; the times themselves depend on the machine.
"""

from __future__ import annotations

import importlib.util
import math
import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))
sys.path.insert(0, str(Path(__file__).resolve().parent))

import general_library
import numpy as np
from exact import coax_resistance, tube_resistance, wire_resistance

from crosscurrent.geometries.meshing.mesher import mesh_section
from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.shapes import bar, round_bar, tube
from crosscurrent.solver.field.discretisation import Discretisation, RegionMetal
from crosscurrent.solver.field.problem import Circuit, Conductor, Problem
from crosscurrent.solver.field.solve import solve
from crosscurrent.solver.field.unit_fields import solve_fields
from crosscurrent.solver.metals.materials import Material

SIGMA = 58e6
COPPER = Material("copper", SIGMA)
BARS = {"width": 0.1, "thickness": 0.006, "gap": 0.001, "radius": 0.0005, "sigma": SIGMA}
# converged R [ohm/m], L [H/m] of these bars, from the general library on ever finer meshes
CONVERGED = {100e3: (1557.911e-6, 14.69144e-9), 8e6: (14010.2e-6, 12.4763e-9)}


@dataclass(frozen=True)
class Row:
    """One line of the table."""

    case: str
    unknowns: int
    mesh: float
    assembly: float
    solve: float
    total: float
    error: float
    bar: float

    def __str__(self) -> str:
        return (
            f"{self.case:<34}{self.unknowns:>9}{self.mesh:>9.3f}{self.assembly:>9.3f}{self.solve:>9.3f}"
            f"{self.total:>9.3f}{self.error:>11.1e}{self.bar:>11.1e}"
        )


def measured(name: str, problem: Problem, frequency: float, exact: float) -> Row:
    """Time the steps one by one, then the whole solve with its error bars."""
    skins = [[c.material.skin_depth(frequency)] for c in problem.conductors]
    t0 = time.perf_counter()
    mesh = mesh_section(problem.section, skins)
    t1 = time.perf_counter()
    d = Discretisation(mesh, tuple(RegionMetal(c.material.conductivity) for c in problem.conductors), 4)
    _ = d.stiffness, d.mass
    t2 = time.perf_counter()
    solve_fields(d, frequency, lifted=True)
    t3 = time.perf_counter()
    found = solve(problem, frequency)
    t4 = time.perf_counter()
    circuit = problem.circuits[0]
    resistance = (found.fine.circuit(circuit) / circuit.current).real
    bar = found.circuit_errors(circuit)[0]
    unknowns = found.fine.discretisation.elements.count
    return Row(name, unknowns, t1 - t0, t2 - t1, t3 - t2, t4 - t3, abs(resistance / exact - 1), bar)


def frequency_of(depth: float) -> float:
    """Frequency [Hz] at which copper has a skin depth [m]."""
    return 1 / (math.pi * general_library.MU0 * SIGMA * depth**2)


def round_rows() -> list[Row]:
    """Wire, tube and coax against the exact solutions, radius over depth 1 .. 1000."""
    a, rows = 0.005, []
    for ratio in (1, 3, 10, 30, 100, 300, 1000):
        f = frequency_of(a / ratio)
        wire = Problem((Conductor(Part("wire", round_bar(2 * a)), COPPER),), (Circuit("i", 1, ("wire",)),))
        rows.append(measured(f"wire, radius/depth {ratio}", wire, f, wire_resistance(a, SIGMA, f)))
        pipe = Problem((Conductor(Part("tube", tube(2 * a, 0.001)), COPPER),), (Circuit("i", 1, ("tube",)),))
        rows.append(measured(f"tube, radius/depth {ratio}", pipe, f, tube_resistance(a, 0.004, SIGMA, f)))
        shield = Conductor(Part("shield", tube(0.008, 0.0005)), COPPER)
        core = Conductor(Part("core", round_bar(0.002)), COPPER)
        coax = Problem((core, shield), (Circuit("i", 1, ("core",), ("shield",)),))
        f = frequency_of(0.001 / ratio)
        rows.append(measured(f"coax, core/depth {ratio}", coax, f, coax_resistance(0.001, 0.0035, 0.004, SIGMA, f)))
    return rows


def facing_bars() -> Problem:
    """The pair of bars of the comparison."""
    middle = 0.5 * (BARS["gap"] + BARS["thickness"])
    shape = bar(BARS["width"], BARS["thickness"], BARS["radius"])
    pair = [Conductor(Part(name, shape.placed((0, y))), COPPER) for name, y in (("out", middle), ("back", -middle))]
    return Problem(tuple(pair), (Circuit("feed", 1.0, ("out",), ("back",)),))


def best_of(times: int, work: Callable[[], object]) -> float:
    """Shortest of several timings [s]."""
    taken = []
    for _ in range(times):
        begin = time.process_time()
        work()
        taken.append(time.process_time() - begin)
    return min(taken)


def side_by_side(frequency: float) -> None:
    """The pair of bars here and with the general library, to the same error."""
    problem, (resistance, inductance) = facing_bars(), CONVERGED[frequency]
    ours = solve(problem, frequency).fine
    circuit = problem.circuits[0]
    off = max(abs((ours.circuit(circuit)).real / resistance - 1), abs(ours.inductance(circuit) / inductance - 1))
    seconds = best_of(3, lambda: solve(problem, frequency))
    theirs = general_library.until_within(1e-4, resistance, inductance, frequency, **BARS)
    print(
        f"facing bars, {frequency:g} Hz: here {seconds:.3f} s, {ours.discretisation.elements.count} unknowns, "
        f"error {off:.1e}, with error bars; general library {theirs.seconds:.2f} s, {theirs.unknowns} unknowns, "
        f"error below 1e-4: ratio {seconds / theirs.seconds:.3f}"
    )
    if frequency == 100e3:
        whole_run(theirs.seconds)


def whole_run(theirs: float) -> None:
    """The command on the shipped case, pictures included, against the general library's solve alone."""
    from crosscurrent.__main__ import main

    case = Path(__file__).resolve().parents[2] / "cases" / "feed-facing.toml"
    with tempfile.TemporaryDirectory() as folder:
        import contextlib
        import io

        begin = time.process_time()
        with contextlib.redirect_stdout(io.StringIO()):
            assert main(["run", str(case), "--out", f"{folder}/feed"]) == 0
        seconds = time.process_time() - begin
    print(
        f"whole run of feed-facing.toml with pictures: {seconds:.2f} s, ratio to its solve alone {seconds / theirs:.2f}"
    )


if __name__ == "__main__":
    np.seterr(all="raise", under="ignore")
    times = "".join(f"{name:>9}" for name in ("unknowns", "mesh s", "assem. s", "solve s", "total s"))
    print(f"{'case':<34}{times}{'error R':>11}{'bar R':>11}")
    for row in round_rows():
        print(row)
    for f, (r, _) in CONVERGED.items():
        print(measured(f"facing bars 100 x 6 mm, {f:g} Hz", facing_bars(), f, r))
    if importlib.util.find_spec("ngsolve") is None:
        print('\nThe comparison needs the general library: pip install -e ".[benchmark]"')
    else:
        print()
        for f in CONVERGED:
            side_by_side(f)
