"""Benchmarks of thin skins: facing bars at 8 MHz against a general library, bare and plated; the mesh of a foil pair.

Run from the checkout:  python tests/benchmarks/thin_rows.py
The first row needs the extra:  pip install -e ".[benchmark]"
Ratios of times in one run count; the times themselves depend on the machine.
"""

from __future__ import annotations

import importlib.util
import sys
from collections.abc import Sequence
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent))

import general_library
from run import BARS, CONVERGED, COPPER, best_of, facing_bars

from crosscurrent.geometries.meshing.mesher import mesh_section
from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.shapes import bar
from crosscurrent.solver.field.discretisation import Discretisation, RegionMetal
from crosscurrent.solver.field.problem import Circuit, Conductor, Problem
from crosscurrent.solver.field.solve import solve
from crosscurrent.solver.field.unit_fields import solve_fields
from crosscurrent.solver.metals.materials import Material

SILVER = Material("silver", 62.9e6)
HIGH = 8e6  # [Hz]
WITHIN = (2e-4, 1e-4)  # relative, of R and of L
# length of the library's elements at the surface in skin depths, and their order; the fastest that is right counts
TRIALS = (
    (2.0, 3), (1.85, 3), (1.7, 3), (3.2, 4), (2.6, 4), (2.2, 4), (1.9, 4), (4.0, 5), (3.2, 5), (2.6, 5),
)  # fmt: skip


def facing(width: float, thickness: float, gap: float, radius: float = 0.0, coats: Sequence[float] = ()) -> Problem:
    """Two copper bars face to face, silvered if wanted; the gap is between the surfaces."""
    middle = 0.5 * (gap + thickness) + sum(coats)
    pair = [
        Conductor(
            Part(name, bar(width, thickness, radius).placed((0, y)), tuple(coats)),
            COPPER,
            coats=(SILVER,) * len(coats),
        )
        for name, y in (("out", middle), ("back", -middle))
    ]
    return Problem(tuple(pair), (Circuit("feed", 1.0, ("out",), ("back",)),))


def fastest_library() -> general_library.Trial:
    """The library's quickest mesh that is right within the same error; a size its mesher gives up at is shortened."""
    from netgen.libngpy._meshing import NgException

    right = []
    for step, order in TRIALS:
        for shorter in (1.0, 0.97, 0.93):
            try:
                trial = general_library.facing_bars(**BARS, frequency=HIGH, step=shorter * step, order=order)
                break
            except NgException:
                continue
        else:
            continue
        errors = [
            abs(found / exact - 1)
            for found, exact in zip((trial.resistance, trial.inductance), CONVERGED[HIGH], strict=True)
        ]
        print(
            f"  library, {step:g} depths, order {order}: {trial.unknowns} unknowns, {trial.seconds:.2f} s, "
            f"R {errors[0]:.1e}, L {errors[1]:.1e}"
        )
        if errors[0] <= WITHIN[0] and errors[1] <= WITHIN[1]:
            right.append(trial)
    return min(right, key=lambda t: t.seconds)


def against_library(seconds: float, unknowns: int, errors: tuple[float, float]) -> None:
    """The first row."""
    theirs = fastest_library()
    print(
        f"facing bars, 8 MHz: here {seconds:.3f} s, {unknowns} unknowns, R {errors[0]:.1e}, L {errors[1]:.1e}; general "
        f"library {theirs.seconds:.2f} s, {theirs.unknowns} unknowns: ratio 1/{theirs.seconds / seconds:.0f} "
        "(wanted 1/20)"
    )


def thin_skins() -> None:
    """8 MHz: bare against the library, silvered against bare."""
    bare, plated = facing_bars(), facing(BARS["width"], BARS["thickness"], BARS["gap"], BARS["radius"], [10e-6])
    flow = solve(bare, HIGH).fine
    circuit = bare.circuits[0]
    found = (flow.circuit(circuit).real, flow.inductance(circuit))
    errors = tuple(abs(a / b - 1) for a, b in zip(found, CONVERGED[HIGH], strict=True))
    without = best_of(5, lambda: solve(bare, HIGH))
    silvered = best_of(5, lambda: solve(plated, HIGH))
    unknowns = solve(plated, HIGH).fine.discretisation.elements.count
    print(
        f"with 10 um silver: {silvered:.3f} s, {unknowns} unknowns; without {without:.3f} s: "
        f"ratio {silvered / without:.2f} (wanted 1.5)"
    )
    if importlib.util.find_spec("ngsolve") is None:
        print('The comparison needs the general library: pip install -e ".[benchmark]"')
    else:
        against_library(without, flow.discretisation.elements.count, (errors[0], errors[1]))


def foil() -> None:
    """0.1 mm x 200 mm at 0.05 mm: the time of the mesh in solves (assembly and one order-4 system)."""
    problem = facing(0.2, 0.1e-3, 0.05e-3)
    for frequency in (1e3, 1e5, 1e6, 1e7, 1e8):
        skins = [[c.material.skin_depth(frequency)] for c in problem.conductors]
        mesh = mesh_section(problem.section, skins)
        metals = tuple(RegionMetal(c.material.conductivity) for c in problem.conductors)

        def one_solve(mesh=mesh, metals=metals, frequency=frequency) -> None:  # type: ignore[no-untyped-def]
            solve_fields(Discretisation(mesh, metals, 4), frequency, lifted=True)

        meshing = best_of(3, lambda skins=skins: mesh_section(problem.section, skins))  # type: ignore[misc]
        solving = best_of(3, one_solve)
        unknowns = solve(problem, frequency).fine.discretisation.elements.count
        print(
            f"foil pair, {frequency:g} Hz: {unknowns} unknowns (wanted 20000), mesh {meshing:.3f} s, a solve "
            f"{solving:.3f} s: {meshing / solving:.2f} solves (wanted 2)"
        )


if __name__ == "__main__":
    foil()
    thin_skins()
