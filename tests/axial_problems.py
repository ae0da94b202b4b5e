"""Random problems of the half plane r, z, and a solve so much finer that it counts as the truth."""

import math
from collections.abc import Iterator
from dataclasses import replace
from random import Random

import numpy as np
from axial_sections import random_axial_section
from hostile_sections import spread

from crosscurrent.geometries.meshing.bisect import bisect
from crosscurrent.solver.field.discretisation import Discretisation
from crosscurrent.solver.field.problem import Circuit, Conductor, Problem
from crosscurrent.solver.field.solution import DirectSolution
from crosscurrent.solver.field.solved_flow import SolvedFlow
from crosscurrent.solver.field.unit_fields import solve_fields
from crosscurrent.solver.metals.depth import MU0
from crosscurrent.solver.metals.materials import Material

STEEL = Material("steel", 7e6, permeability=200.0)
METALS = Material("copper", 58e6), Material("brass", 15.9e6), Material("bronze", 7e6), STEEL
AFFORDABLE = 250_000  # unknowns of the finer solve


def random_axial_problem(seed: int) -> tuple[Problem, float] | None:
    """Bodies on the axis and turns in series, in parallel, alone or beside closed ones; and a frequency [Hz]."""
    rng = Random(seed)
    drawn = random_axial_section(rng)
    if drawn is None:
        return None
    section, thin = drawn
    turns = [p.name for p, crosses in zip(section.parts, section.crosses, strict=True) if not crosses]
    if not turns:
        return None
    conductors = [
        Conductor(
            part, rng.choice(METALS), coats=tuple(rng.choice(METALS) for _ in part.coats),
            pieces=tuple(rng.choice(METALS) for _ in part.pieces),
        )
        for part in section.parts
    ]  # fmt: skip
    depth = thin * spread(rng, 0.03, 10)
    frequency = 0.0 if rng.random() < 0.1 else float(f"{1 / (math.pi * depth**2 * MU0 * 58e6):.3g}")
    way = rng.choice(["series", "one", "free", "closed"]) if len(turns) > 1 else "free"
    if way in ("series", "free"):
        coil = Circuit("coil", 1.0, tuple(turns), sharing="series" if way == "series" else "free")
    else:
        coil = Circuit("coil", 1.0, (turns[0],))
    if way == "closed":
        conductors = [replace(c, closed=c.name in turns[1:]) for c in conductors]
    return Problem(tuple(conductors), (coil,), axial=True), frequency


def truth(found: DirectSolution) -> SolvedFlow:
    """The same at an order above on a mesh with all triangles halved, or two orders above on the same one."""
    d = found.fine.discretisation
    halved = bisect(d.mesh, np.ones(len(d.mesh.triangles), dtype=bool))
    ways = (halved, min(d.order + 1, 7)), (halved, d.order), (d.mesh, d.order + 2)
    finer = next(one for one in (Discretisation(m, d.metals, o) for m, o in ways) if one.elements.count < AFFORDABLE)
    return SolvedFlow.of(found.problem, solve_fields(finer, found.frequency, lifted=found.fine.lifted))


def answers_with_bars(found: DirectSolution, exact: SolvedFlow) -> Iterator[tuple[str, float, float]]:
    """Name, error and bar of every answer, all in its own unit."""
    fine, (circuit,) = found.fine, found.problem.circuits
    own, true = (flow.circuit(circuit) / circuit.current for flow in (fine, exact))
    resistance, inductance = found.circuit_errors(circuit)
    yield "R", abs(own.real - true.real), resistance * abs(own.real)
    mine, known = fine.inductance(circuit), exact.inductance(circuit)
    yield "L", abs(mine - known), inductance * abs(mine)
    every = zip(found.problem.names, fine.powers.real, exact.powers.real, found.power_errors, strict=True)
    yield from ((f"loss of {name}", abs(one - other), bar) for name, one, other, bar in every)
    off = np.hypot(*(fine.force - exact.force).T)
    pulls = zip(found.problem.names, off, found.force_errors, strict=True)
    yield from ((f"force on {name}", one, bar) for name, one, bar in pulls)
