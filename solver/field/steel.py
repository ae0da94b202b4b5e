"""Steel at its field strength: the permeability that belongs to the field, place by place.

At every place a sine of the field meets the effective permeability of its crest (`metals.magnetisation`). The fields
are solved for with it, which gives other crests, and again. Taking each new permeability as it comes fails where flux
is given and the steel saturates; so each place has its own step, shorter where it swung, longer where it crept. It ends
where loss and energy of the steel rest. Superposition holds for the permeability that was found only.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from crosscurrent.geometries.arrays import BoolArray, FloatArray, IntArray
from crosscurrent.geometries.meshing.mesh import Mesh
from crosscurrent.geometries.meshing.mesher import mesh_section
from crosscurrent.geometries.meshing.options import MeshOptions
from crosscurrent.geometries.plane.section import Section
from crosscurrent.solver.metals.depth import MU0
from crosscurrent.solver.metals.magnetisation import Law, Sine

from .discretisation import Discretisation, RegionMetal
from .effective import PLACES, WEIGHTS, Effective
from .flow import SteadyFlow
from .problem import Problem
from .saturation import SHARE
from .solved_flow import SolvedFlow
from .unit_fields import Fields, solve_fields

SOLVES = 40  # solves
LOOSEST = 1e-3  # bound on the steel's loss and energy, from that of the permeability
RESTS = 0.2  # of that: change of both from one solve to the next
NEAR = 2.0  # of that: mean distance from the own permeability, weighted by the energy
SHORTEST, FIRST, LONGEST = 0.15, 1.0, 2.5  # steps, over the distance to the permeability of the crest found
TINY = 1e-9
REACH = 60.0  # depth of the layers in skins of the initial permeability: saturated steel lets the field in deeper
BAND = 3.0  # of the difference between a sine of H and one of B: the exact curve lay within 2.7 times it (docs, README)


@dataclass(frozen=True, eq=False)
class SteelFlows:
    """What stands beside a flow with steel at its field strength.

    Attributes
    ----------
    linear : SolvedFlow
        With the initial permeability everywhere.
    other : SolvedFlow or None
        With the permeability of a sine of B in place of one of H; None at 0 Hz, where the curve itself holds.
    """

    linear: SolvedFlow
    other: SolvedFlow | None


def any_saturable(metals: Sequence[RegionMetal]) -> bool:
    """Whether some metal has a magnetisation curve."""
    return any(m.magnetisation is not None for m in metals)


def steel_mesh(
    section: Section, skins: Sequence[Sequence[float]], metals: Sequence[RegionMetal],
    options: MeshOptions | None = None,
) -> Mesh:
    """A mesh whose layers reach as deep as saturation lets the field in, with no field-free core in steel."""
    mesh = mesh_section(section, skins, replace(options or MeshOptions(), reach=REACH))
    return replace(mesh, field_free=mesh.field_free & ~_in_steel(mesh, metals))


def initial(d: Discretisation, permeability: float | None = None) -> Effective:
    """The initial permeability of the metals, or one for all, all over the steel."""
    rows = np.flatnonzero(_in_steel(d.mesh, d.metals))
    own = np.array([m.permeability for m in d.metals])[d.mesh.region[rows]]
    even = np.full_like(own, permeability) if permeability is not None else own
    return Effective(rows, np.repeat(1 / even[:, None], len(PLACES), axis=1))


def _in_steel(mesh: Mesh, metals: Sequence[RegionMetal]) -> BoolArray:
    return np.asarray(np.array([*(m.magnetisation is not None for m in metals), False])[mesh.region])


def settled(
    problem: Problem,
    discretisation: Discretisation,
    frequency: float,
    *,
    lifted: bool,
    accuracy: float = LOOSEST,
    loosest: float = LOOSEST,
    sine: Sine = "H",
    start: Effective | None = None,
    like: Fields | None = None,
) -> SolvedFlow:
    """Solve with the permeability that the field of the circuits' currents has.

    Parameters
    ----------
    problem : Problem
    discretisation : Discretisation
    frequency : float [Hz]
    lifted : bool
    accuracy : float
        Wanted relative bound on loss and energy of the steel.
    loosest : float
        What it is at most.
    sine : "H" or "B"
        At 0 Hz neither: the curve itself.
    start : Effective, optional
        To begin with, of the same mesh; else the initial permeability.
    like : Fields, optional
        Whose order of elimination serves.

    Returns
    -------
    SolvedFlow
        Its discretisation holds the permeability, and in how many solves it was found: `SOLVES` if it came to no rest.
    """
    d, law = discretisation, sine if frequency else "none"
    now = replace(start or initial(d), solves=1)
    bound = min(accuracy, loosest)
    step = np.full(now.values.shape, FIRST)
    before: FloatArray | None = None
    last: FloatArray | None = None
    while True:
        fields = solve_fields(d.at(now), frequency, lifted=lifted, like=like)
        flow, like = SolvedFlow.of(problem, fields), fields
        crest, energy = strengths(flow)
        off = np.log(now.values) + np.log(_permeability(d, now.rows, crest, law))
        held = _held(flow)
        resting = last is not None and bool(np.all(np.abs(held - last) <= RESTS * bound * np.abs(held)))
        near = not energy.any() or float(np.average(np.abs(off), weights=energy)) < NEAR * bound
        if now.solves == SOLVES or (near and (resting or not energy.any())):
            return flow
        step = step if before is None else _stepped(step, before, off)
        now = Effective(now.rows, now.values * np.exp(-step * off), now.solves + 1)
        before, last = off, held


def _stepped(step: FloatArray, before: FloatArray, off: FloatArray) -> FloatArray:
    """The next steps: that of a secant, shorter where the last went too far; halved or doubled at the most."""
    turned = before - off
    still = np.abs(turned) < TINY
    wanted = step * before / np.where(still, 1.0, turned)
    wanted = np.where(still, step, np.where(wanted > 0, wanted, LONGEST))
    return np.clip(wanted, np.maximum(SHORTEST, 0.5 * step), np.minimum(LONGEST, 2 * step))


@dataclass(frozen=True)
class Magnetised:
    """How strong the field is in the steel of a conductor.

    Attributes
    ----------
    crest : float
        Of H, exceeded where a share of the energy is, as of `saturation.strong_field` [A/m].
    permeability : (float, float, float)
        Effective, below which 5, 50 and 95 % of the energy are.
    """

    crest: float
    permeability: tuple[float, float, float]


def magnetised(flow: SteadyFlow, number: int) -> Magnetised | None:
    """The state of the steel in a conductor; None where it has none, or no field."""
    d = flow.discretisation
    if d.effective is None:
        return None
    own = d.mesh.part[d.effective.rows] == number
    crest, energy = (values[own].ravel() for values in strengths(flow))
    if not energy.any():
        return None
    permeability = 1 / d.effective.values[own].ravel()
    low, middle, high = _shares(permeability, energy, (0.05, 0.5, 0.95))
    return Magnetised(_shares(crest, energy, (1 - SHARE,))[0], (low, middle, high))


def _shares(values: FloatArray, weights: FloatArray, shares: Sequence[float]) -> list[float]:
    """Values below which some shares of the weights are."""
    order = np.argsort(values)
    held = np.cumsum(weights[order])
    places = np.minimum(np.searchsorted(held, np.array(shares) * held[-1]), len(order) - 1)
    return [float(value) for value in values[order][places]]


def strengths(flow: SteadyFlow) -> tuple[FloatArray, FloatArray]:
    """Crest of H [A/m] and share of the energy at the places of the steel, (k, p) each; at rest H itself."""
    d = flow.discretisation
    assert d.effective is not None
    rows, nu = d.effective.rows, d.effective.values
    if flow.lifted:
        slope = d.elements.induction(flow.electric / (2 * np.pi * flow.frequency), rows, PLACES)
    else:
        slope = d.elements.induction(flow.potential, rows, PLACES)
    squared = (np.abs(slope) ** 2).sum(axis=-1)
    crest = np.sqrt(squared * (2.0 if flow.frequency else 1.0)) * nu / MU0
    return crest, squared * nu * d.elements.measure(rows, PLACES) * WEIGHTS


def _permeability(d: Discretisation, rows: IntArray, crest: FloatArray, sine: Law) -> FloatArray:
    found, region = np.ones_like(crest), d.mesh.region[rows]
    for number, metal in enumerate(d.metals):
        if metal.magnetisation is not None:
            own = region == number
            found[own] = metal.magnetisation.permeability(crest[own], sine)
    return found


def _held(flow: SolvedFlow) -> FloatArray:
    """Loss and 2 w times energy of all steel together; at rest the terms of the energy alone."""
    curved = np.array([m.magnetisation is not None for m in flow.discretisation.metals])
    total = complex(flow.region_powers[curved].sum())
    if flow.frequency:
        return np.array([total.real, total.imag])
    return np.array([float(strengths(flow)[1].sum())])
