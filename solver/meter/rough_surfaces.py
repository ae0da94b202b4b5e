"""Rough surfaces of a run: what their factor makes of its impedance, with coats and metals as stated or other ones."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from crosscurrent.geometries.arrays import ComplexArray, FloatArray
from crosscurrent.solver.field.changes import Change
from crosscurrent.solver.field.problem import Conductor
from crosscurrent.solver.field.region_metals import surface_factor
from crosscurrent.solver.field.solution import Solution
from crosscurrent.solver.metals.layers import Layer, flat_surface
from crosscurrent.solver.metals.roughness import MODELS

from .causes import Beside, PhysicalCause
from .section_causes import RoughSurface, rough_cause

SMALL = 0.01  # skin depths: a roughness whose effect goes with its square
ROUGH, ROUGHEST = 1e-6, 1e-4  # Rq [m]: usual, and the most that is believed
TABLE, SMOOTHEST = 41, 1e-8  # values of Rq at which factors are known, and the least of them [m]


@dataclass(frozen=True, eq=False)
class GroupSurface:
    """What conductors with surfaces alike have.

    Attributes
    ----------
    of : Conductor
        One of them.
    surface : RoughSurface
    open : (m,) float
        What the models of the roughness that is stated leave open [ohm].
    """

    of: Conductor
    surface: RoughSurface
    open: FloatArray


def roughened(solution: Solution, some: Sequence[Conductor]) -> Change:
    """Surfaces so little rough that all goes with their factor."""
    names = {conductor.name for conductor in some}
    conductors = tuple(
        replace(c, roughness=_little(c, solution.frequency)) if c.name in names else c
        for c in solution.problem.conductors
    )
    return Change("roughness", replace(solution.problem, conductors=conductors), 1.0)


def _little(conductor: Conductor, frequency: float) -> float:
    return SMALL * conductor.metals[len(conductor.coats)].skin_depth(frequency, conductor.temperature)


def group_surfaces(
    length: float, groups: Sequence[Sequence[Conductor]], rates: FloatArray, f: FloatArray, first: int
) -> tuple[GroupSurface, ...]:  # fmt: skip
    """The surfaces of every group, with what the models of the roughness stated leave open [ohm]."""
    found = []
    for number, (one, *_) in enumerate(groups, first):
        moved = rates[0, :, number] + 2j * np.pi * f * rates[1, :, number]
        little = np.array([surface_factor(replace(one, roughness=_little(one, float(v))), float(v)) for v in f])
        weight = length * moved / (little - 1)
        stated = [
            np.array([surface_factor(one, float(v), model) for v in f]) if one.roughness else np.ones(len(f))
            for model in MODELS
        ]
        open_ = np.abs(weight) * max((np.abs(s - stated[0]) for s in stated), key=lambda d: float(d.max()))
        found.append(GroupSurface(one, RoughSurface(weight, _factors(one, f)), open_))
    return tuple(found)


def carried(one: GroupSurface, there: Conductor, f: FloatArray, resistance: FloatArray) -> GroupSurface:
    """The surfaces of conductors that are other than stated.

    What a factor of the surface impedance does goes with that impedance, and with where the field is: as R does beyond
    what the impedance explains.
    """
    before, after = (_flat(conductor, f) for conductor in (one.of, there))
    weight = one.surface.weight * (after / before) * resistance / (after.real / before.real)
    return GroupSurface(there, RoughSurface(np.asarray(weight), _factors(there, f)), one.open)


def _flat(conductor: Conductor, f: FloatArray) -> ComplexArray:
    """Of a smooth flat wall with its coats, per square [ohm]."""
    metals, thicknesses = (conductor.material, *conductor.coats), (np.inf, *conductor.part.coats)
    stack = [Layer(metal, thickness) for metal, thickness in zip(metals, thicknesses, strict=True)]
    return flat_surface(stack, f, temperature=conductor.temperature).impedance


def _factors(conductor: Conductor, f: FloatArray) -> Callable[[float], ComplexArray]:
    """What a roughness multiplies the surface impedance with, as a spline over its logarithm, made when first asked."""
    made: list[Callable[[float], ComplexArray]] = []

    def factor(roughness: float) -> ComplexArray:
        if roughness <= 0:
            return np.ones(len(f), dtype=complex)
        if not made:
            made.append(_spline(conductor, f))
        # below the table the effect goes with the square
        inside = max(roughness, SMOOTHEST)
        return np.asarray(1 + (made[0](np.log(inside)) - 1) * (roughness / inside) ** 2)

    return factor


def _spline(conductor: Conductor, f: FloatArray) -> Callable[[float], ComplexArray]:
    from scipy.interpolate import CubicSpline

    places = np.geomspace(SMOOTHEST, ROUGHEST, TABLE)
    rows = [
        [surface_factor(replace(conductor, roughness=float(r)), float(v)) for v in f] for r in places
    ]  # fmt: skip
    spline: Callable[[float], ComplexArray] = CubicSpline(np.log(places), np.array(rows))
    return spline


def with_roughness(z: ComplexArray, surfaces: Sequence[GroupSurface]) -> tuple[ComplexArray, FloatArray]:
    """An impedance with the roughness that is stated, and what that leaves open of R and X [ohm]."""
    open_ = np.zeros(len(z))
    for one in surfaces:
        z, open_ = z + one.surface.weight * (one.surface.factor(one.of.roughness) - 1), open_ + one.open
    return z, open_


def rough_causes(surfaces: Sequence[GroupSurface], z: ComplexArray, beside: Beside) -> tuple[PhysicalCause, ...]:
    """All surfaces that are said to be alike, rougher than stated."""
    if len({one.of.roughness for one in surfaces}) != 1:
        return ()
    return (rough_cause_of(surfaces, z, beside),)


def rough_cause_of(
    surfaces: Sequence[GroupSurface], z: ComplexArray, beside: Beside, known: frozenset[str] = frozenset()
) -> PhysicalCause:  # fmt: skip
    """Surfaces that are rougher than stated, where some figures of the section are known, by key.

    Parameters
    ----------
    surfaces : sequence of GroupSurface
        Of one roughness, with the coats and metals that are there.
    z : (m,) complex
        Impedance of the whole run with those [ohm].
    beside : callable
        The same cause where other figures are known.
    known : frozenset of str
    """
    one = rough_cause(tuple(each.surface for each in surfaces), z, surfaces[0].of.roughness, ROUGH, ROUGHEST)
    return replace(one, beside=beside, known=known)
