"""Forces on conductors in service and at a fault, and what they ask of the supports.

A bar on supports under an even load f bends with the moment f l^2 / m and swings at g / l^2 sqrt(E I / mass):

- on two simple supports m = 8, g = pi/2; clamped at both ends m = 12, g = 4.730^2 / (2 pi) = 3.56 (theory of beams);
- over three or more equal spans m = 28/3 at the most (four spans; 10 for three: three moments after Clapeyron). Its
  lowest modes lie from g = pi/2, neighbouring spans against each other, up to 3.56, neighbours alike. An even load
  drives the latter: 3.56 is what IEC 60865-1, table 3, gives for three or more spans, 2.45 for two (from memory).
  Two spans have the moment of a simple one.

A force that is not along a principal axis of the section bends it along both: the curvature
times E is I^-1 M, I the tensor of second moments (S. Timoshenko, Strength of Materials, unsymmetrical bending; from
memory). Twisting is left out.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np
from scipy.spatial import ConvexHull

from crosscurrent.geometries.arrays import FloatArray
from crosscurrent.geometries.meshing.shape_functions import quadrature
from crosscurrent.solver.metals.strands import Strands

from .flow import Flow, SteadyFlow, is_steady
from .problem import Conductor
from .solution import Solution

Fixing = Literal["simple", "continuous", "clamped"]
CLAMPED = 4.730040744862704**2 / (2 * math.pi)  # first root of cos x cosh x = 1
MOMENT: dict[Fixing, float] = {"simple": 8.0, "continuous": 28 / 3, "clamped": 12.0}
FREQUENCY: dict[Fixing, tuple[float, float]] = {
    "simple": (math.pi / 2, math.pi / 2),
    "continuous": (math.pi / 2, CLAMPED),
    "clamped": (CLAMPED, CLAMPED),
}
# Young's moduli [Pa]: CRC Handbook of Chemistry and Physics and Kaye & Laby, rounded, from memory
MODULUS = {
    "copper": 120e9, "silver": 83e9, "gold": 78e9, "aluminium-1350": 69e9, "aluminium-6101": 69e9, "brass": 103e9,
    "bronze": 110e9, "tin": 50e9, "nickel": 200e9, "zinc": 105e9, "steel": 205e9, "stainless-304": 195e9,
    "titanium": 105e9,
}  # fmt: skip
INSTANTS = 721
PUSHED = 0.1  # part of the peak force from which on it counts as bending the bar along a principal axis


@dataclass(frozen=True)
class Bending:
    """A conductor as a beam bent by a force."""

    section_modulus: float  # largest moment over largest stress of a cycle [m3]
    stiffness: float | None  # least E I of the principal axes that are pushed [N m2]; None without a metal's modulus
    mass: float | None  # [kg/m]; None where a density is not known


@dataclass(frozen=True)
class Push:
    """Force per metre on a conductor: its average, its peak and the peak's direction."""

    mean: tuple[float, float]  # [N/m]
    peak: float  # largest magnitude in a cycle [N/m]
    direction: tuple[float, float]  # of the peak, unit vector


def pushes(flow: SteadyFlow) -> tuple[Push, ...]:
    """Average and peak force on every conductor in the steady state.

    Examples
    --------
    In phase the peak is twice the average; two wires 0.1 m apart with 1 kA rms: mu0 I^2 / (2 pi D) on average.

    >>> from crosscurrent.geometries.plane.part import Part
    >>> from crosscurrent.geometries.plane.shapes import round_bar
    >>> from crosscurrent.solver.metals.materials import MATERIALS
    >>> from crosscurrent.solver.field.problem import Circuit, Conductor, Problem
    >>> from crosscurrent.solver.field.solve import solve
    >>> wires = tuple(Conductor(Part(n, round_bar(0.002).placed((x, 0))), MATERIALS["copper"])
    ...               for n, x in (("a", 0.0), ("b", 0.1)))
    >>> push = pushes(solve(Problem(wires, (Circuit("feed", 1000.0, ("a",), ("b",)),)), 50.0).fine)[0]
    >>> round(push.mean[0], 1), round(push.peak, 1)
    (-2.0, 4.0)
    """
    found = []
    for mean, course in zip(flow.force, courses(flow), strict=True):
        size = np.hypot(*course.T)
        k = int(size.argmax())
        way = course[k] / size[k] if size[k] else np.zeros(2)
        found.append(Push((float(mean[0]), float(mean[1])), float(size[k]), (float(way[0]), float(way[1]))))
    return tuple(found)


def courses(flow: SteadyFlow) -> FloatArray:
    """Force on every conductor through a cycle, (conductors, instants, 2) [N/m].

    At 0 Hz a single instant; currents out of phase with one another turn there too, ever so slowly.
    """
    if is_steady(flow):
        return flow.force[:, None]
    turn = np.exp(2j * np.pi * np.arange(INSTANTS) / (INSTANTS - 1))
    return np.asarray(flow.force[:, None] + (flow.forces.swing[:, None] * turn[:, None]).real)


def peak_errors(solution: Solution) -> FloatArray:
    """Bound on the error of every conductor's peak force [N/m]: those of mean and swing together."""
    swing = 0.0 if is_steady(solution.fine) else solution.fine.forces.errors(solution.coarse.forces)
    return np.asarray(solution.force_errors + swing)


def bending(flow: Flow, number: int, forces: FloatArray | tuple[float, float]) -> Bending:
    """A conductor bent by a force, or by its course (n, 2), as a beam of its own section.

    All its metals bend together, each with its own modulus (one for all where a metal's is not known); the stress
    counts in the base metal and in clad pieces, not in coats. Strands slide on one another: each bends by itself.
    """
    d, conductor = flow.discretisation, flow.problem.conductors[number]
    if conductor.strands is not None:
        return _sliding(conductor, conductor.strands)
    rows = d.mesh.regions_of(number).tolist()
    metals = dict(zip(rows, conductor.metals, strict=True))
    inside = np.flatnonzero(np.isin(d.mesh.region, rows))
    places, weights = quadrature(12)
    position = d.elements.positions(inside, places)
    area = d.elements.maps(inside, places)[0] * weights
    of = d.mesh.region[inside]
    forces = np.asarray(forces, dtype=float).reshape(-1, 2)
    size = float(np.hypot(*forces.T).max())
    forces = forces / size if size else np.eye(2)
    known = {k: MODULUS[metal.name] for k, metal in metals.items() if metal.name in MODULUS}
    moduli = known if len(known) == len(rows) else dict.fromkeys(rows, 1.0)
    middle, stiff = _second_moment(position, area * np.array([moduli[k] for k in of.tolist()])[:, None])
    stress = 0.0
    for k in (rows[0], *rows[len(rows) - len(conductor.pieces) :]):
        corners = _corners(flow, inside[of == k]) - middle
        corners = corners[ConvexHull(corners).vertices]
        stress = max(stress, moduli[k] * float(np.abs(forces @ np.linalg.solve(stiff, corners.T)).max()))
    stiffness = None
    if len(known) == len(rows):
        values, axes = np.linalg.eigh(stiff)
        stiffness = float(values[np.abs(forces @ axes).max(axis=0) > PUSHED].min())
    mass = None
    if all(metal.density is not None for metal in metals.values()):
        mass = float(sum((metal.density or 0.0) * area[of == k].sum() for k, metal in metals.items()))
    return Bending(1 / stress, stiffness, mass)


def _sliding(conductor: Conductor, strands: Strands) -> Bending:
    """Strands that bend each by itself: the least that a bundle resists with."""
    modulus, metal, d = MODULUS.get(conductor.material.name), conductor.material, strands.diameter
    stiffness = None if modulus is None else modulus * strands.count * math.pi * d**4 / 64
    mass = None if metal.density is None else metal.density * strands.copper
    return Bending(strands.count * math.pi * d**3 / 32, stiffness, mass)


def _second_moment(position: FloatArray, weight: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Centre (2,) and tensor of second moments about it (2, 2)."""
    middle = np.einsum("tp,tpd->d", weight, position) / weight.sum()
    offset = position - middle
    return middle, np.asarray(np.einsum("tp,tpd,tpe->de", weight, offset, offset))


def _corners(flow: Flow, rows: np.ndarray[tuple[int], np.dtype[np.int64]]) -> FloatArray:
    """Points of elements, those in the middle of curved sides included."""
    places = np.array([[0.0, 0.0], [1.0, 0.0], [0.0, 1.0], [0.5, 0.0], [0.5, 0.5], [0.0, 0.5]])
    return np.asarray(flow.discretisation.elements.positions(rows, places).reshape(-1, 2))


def largest_spacing(push: float, section_modulus: float, stress: float, fixing: Fixing) -> float:
    """Distance between supports [m] at which a load [N/m] bends a bar to a stress [Pa].

    Examples
    --------
    >>> round(largest_spacing(1000.0, 1e-6, 80e6, "simple"), 3)
    0.8
    """
    return math.sqrt(MOMENT[fixing] * section_modulus * stress / push) if push > 0 else math.inf


def natural_frequencies(spacing: float, stiffness: float, mass: float, fixing: Fixing) -> tuple[float, float]:
    """Lowest and highest of the frequencies at which the spans of a bar swing as a whole [Hz].

    Examples
    --------
    A copper bar 60 x 10 mm on simple supports 1 m apart, bent flat:

    >>> round(natural_frequencies(1.0, 120e9 * 0.06 * 0.01**3 / 12, 0.6e-3 * 8890, "simple")[0], 1)
    16.7
    """
    low, high = (factor / spacing**2 * math.sqrt(stiffness / mass) for factor in FREQUENCY[fixing])
    return low, high
