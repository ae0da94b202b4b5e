"""Forces on conductors in service and at a fault, and what they ask of the supports.

A bar over many supports under an even load f bends with the moment f l^2 / m, m = 8 for two simple supports, 12 for
clamped ends, 10 between (common practice for a run over several supports, no source); its lowest natural frequency is
g / l^2 sqrt(E I / mass), g = pi/2 simple, 3.56 clamped, 2.45 for one end of each kind (IEC 60865-1,
table 3, from memory).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np

from ..geometries.outline import FloatArray
from ..geometries.shape_functions import quadrature
from ..solver.flow import Flow

Fixing = Literal["simple", "continuous", "clamped"]
MOMENT: dict[Fixing, float] = {"simple": 8.0, "continuous": 10.0, "clamped": 12.0}
FREQUENCY: dict[Fixing, float] = {"simple": math.pi / 2, "continuous": 2.45, "clamped": 3.56}
# Young's moduli [Pa]: CRC Handbook of Chemistry and Physics and Kaye & Laby, rounded, from memory
MODULUS = {
    "copper": 120e9, "silver": 83e9, "gold": 78e9, "aluminium-1350": 69e9, "aluminium-6101": 69e9, "brass": 103e9,
    "bronze": 110e9, "tin": 50e9, "nickel": 200e9, "zinc": 105e9, "steel": 205e9, "stainless-304": 195e9,
    "titanium": 105e9,
}  # fmt: skip
INSTANTS = 721


@dataclass(frozen=True)
class Bending:
    """A conductor as a beam bent in one direction."""

    section_modulus: float  # [m3]
    stiffness: float | None  # E I [N m2]; None where the metal's modulus is not known
    mass: float | None  # [kg/m]; None where a density is not known


@dataclass(frozen=True)
class Push:
    """Force per metre on a conductor: its average, its peak and the peak's direction."""

    mean: tuple[float, float]  # [N/m]
    peak: float  # largest magnitude in a cycle [N/m]
    direction: tuple[float, float]  # of the peak, unit vector


def pushes(flow: Flow) -> tuple[Push, ...]:
    """Average and peak force on every conductor in the steady state.

    Examples
    --------
    In phase the peak is twice the average; two wires 0.1 m apart with 1 kA rms: mu0 I^2 / (2 pi D) on average.

    >>> from crosscurrent.geometries.section import Part
    >>> from crosscurrent.geometries.shapes import round_bar
    >>> from crosscurrent.solver.materials import MATERIALS
    >>> from crosscurrent.solver.problem import Circuit, Conductor, Problem
    >>> from crosscurrent.solver.solve import solve
    >>> wires = tuple(Conductor(Part(n, round_bar(0.002).placed((x, 0))), MATERIALS["copper"])
    ...               for n, x in (("a", 0.0), ("b", 0.1)))
    >>> push = pushes(solve(Problem(wires, (Circuit("feed", 1000.0, ("a",), ("b",)),)), 50.0).fine)[0]
    >>> round(push.mean[0], 1), round(push.peak, 1)
    (-2.0, 4.0)
    """
    turn = np.exp(2j * np.pi * np.arange(INSTANTS) / (INSTANTS - 1))
    found = []
    at_rest = flow.fields.frequency == 0
    for mean, swing in zip(flow.force, flow.force_swing, strict=True):
        course = mean + (0.0 if at_rest else 1.0) * (swing * turn[:, None]).real
        size = np.hypot(*course.T)
        k = int(size.argmax())
        way = course[k] / size[k] if size[k] else np.zeros(2)
        found.append(Push((float(mean[0]), float(mean[1])), float(size[k]), (float(way[0]), float(way[1]))))
    return tuple(found)


def bending(flow: Flow, number: int, direction: tuple[float, float]) -> Bending:
    """A conductor bent in a direction (unit vector), as a beam of its own section, all its metals together."""
    d = flow.discretisation
    rows = [k for k, (part, _) in enumerate(d.mesh.regions) if part == number]
    metals = dict(zip(rows, flow.problem.conductors[number].metals, strict=True))
    inside = np.flatnonzero(np.isin(d.mesh.region, rows))
    places, weights = quadrature(12)
    position = d.elements.positions(inside, places)
    area = d.elements.maps(inside, places)[0] * weights
    along = position @ np.asarray(direction)
    middle = float((along * area).sum() / area.sum())
    square = ((along - middle) ** 2 * area).sum(axis=1)
    outermost = float(np.abs(_corners(flow, inside) @ np.asarray(direction) - middle).max())
    moduli = {k: MODULUS.get(metal.name) for k, metal in metals.items()}
    of = d.mesh.region[inside]
    stiffness = None
    if all(modulus is not None for modulus in moduli.values()):
        stiffness = float(sum((modulus or 0.0) * square[of == k].sum() for k, modulus in moduli.items()))
    mass = None
    if all(metal.density is not None for metal in metals.values()):
        mass = float(sum((metal.density or 0.0) * area[of == k].sum() for k, metal in metals.items()))
    return Bending(float(square.sum()) / outermost, stiffness, mass)


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


def natural_frequency(spacing: float, stiffness: float, mass: float, fixing: Fixing) -> float:
    """Lowest natural frequency of a bar between supports [Hz].

    Examples
    --------
    A copper bar 60 x 10 mm on simple supports 1 m apart, bent flat:

    >>> round(natural_frequency(1.0, 120e9 * 0.06 * 0.01**3 / 12, 0.6e-3 * 8890, "simple"), 1)
    16.7
    """
    return FREQUENCY[fixing] / spacing**2 * math.sqrt(stiffness / mass)
