"""Where the zoom goes: the conductor of largest loss, the place on it where that is densest, and the window there."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from crosscurrent.geometries.arrays import FloatArray
from crosscurrent.geometries.meshing.lattice import lattice
from crosscurrent.postprocess.answers.field_values import OutlineSurface
from crosscurrent.solver.field.flow import SteadyFlow
from crosscurrent.solver.field.problem import Conductor, Problem
from crosscurrent.solver.metals.materials import Material

from .views import PAPER, View

DEPTHS = 12.0  # width of the zoom in skin depths
COATS = 30.0  # or in thicknesses of the thinnest coat, if that is less
SEEN = 4.0  # but for a coat never less than this many skin depths, so that the skin shows too
METAL = 4.0  # or in thicknesses of the metal
LARGE = 0.5  # share of the largest loss that a conductor has to have to be zoomed
PLAIN = 0.12  # inches of skin depth on the map that need no zoom


@dataclass(frozen=True, eq=False)
class LossSpot:
    """Where most loss is, for the width of a zoom.

    Attributes
    ----------
    part : int
        Number of the conductor.
    place, inward : (2,) float
        On its surface [m]; unit vector into the metal.
    metal : str
        Name of the metal there.
    skin : float
        Its skin depth [m].
    width : float
        Of a window that shows the skin there [m].
    """

    part: int
    place: FloatArray
    inward: FloatArray
    metal: str
    skin: float
    width: float

    def window(self, aspect: float) -> FloatArray:
        """Lower left and upper right corner of the zoom (2, 2) [m], its middle a little inside the metal."""
        half = 0.5 * self.width * np.array([1.0, 1.0 / aspect])
        middle = self.place + self.inward * 0.5 * half
        return np.array([middle - half, middle + half])

    def is_worth_a_zoom(self, views: Sequence[View]) -> bool:
        """Whether the view that holds it shows the skin too small."""
        holding = [v.extent for v in views if v.shows(self.place)]
        return bool(holding) and self.skin < PLAIN * float(np.max(holding[0] / PAPER))


def loss_spot(
    flow: SteadyFlow, outlines: Sequence[OutlineSurface], losses: Sequence[float], asked: Sequence[str] = ()
) -> LossSpot:
    """The place where the loss is densest, of the conductors that have at least half the largest loss.

    Parameters
    ----------
    flow : SteadyFlow
    outlines : sequence of OutlineSurface
        Of all conductors.
    losses : sequence of float
        Of the conductors [W/m].
    asked : sequence of str
        Names of the conductors to choose from; if there are none, those of a circuit whose base metal is not magnetic,
        and others only where these are bundles that count as one medium. Of an axial section all: what a coil heats is
        the matter there.
    """
    problem = flow.problem
    candidates = _candidates(problem, asked)
    least = LARGE * max(losses[k] for k in candidates)
    found = [_densest(flow, o) for o in outlines if o.part in candidates and losses[o.part] >= least]
    return max(found, key=lambda pair: pair[0])[1]


def _candidates(problem: Problem, asked: Sequence[str]) -> list[int]:
    """Numbers of the conductors among which the largest loss is looked for."""
    driven = {name for circuit in problem.circuits for name in (*circuit.out, *circuit.back)}
    every = list(enumerate(problem.conductors))
    named = [k for k, c in every if c.name in asked]
    fed = [k for k, c in every if c.name in driven]
    plain = [k for k in fed if not problem.conductors[k].material.is_magnetic]
    solid = [k for k, c in every if c.strands is None and c.conducts]
    if problem.axial and not named:
        return solid or [k for k, _ in every]
    return named or [k for k in plain if k in solid] or [k for k in fed if k in solid] or solid or [k for k, _ in every]


def _densest(flow: SteadyFlow, outline: OutlineSurface) -> tuple[float, LossSpot]:
    """Loss over a length of an outline as wide as a zoom, on average [W/m2], where that is largest; and the spot."""
    frequency, conductor = flow.frequency, flow.problem.conductors[outline.part]
    if conductor.strands is not None:  # even, with no skin to look at
        place, inward = outline.position[0], outline.inward[0]
        return 0.0, LossSpot(outline.part, place, inward, "", math.inf, conductor.part.area**0.5)
    width = min(_width(frequency, conductor, metal) for metal in conductor.metals)
    strength = _around(outline, width)
    best = int(strength.argmax())
    metal = _metal_at(flow, outline.part, outline.position[best])
    skin = metal.skin_depth(frequency, conductor.temperature)
    depth = 0.5 * min(skin, _thickness(conductor))
    loss = float(strength[best]) * depth / metal.conductivity_at(conductor.temperature)
    place, inward = outline.position[best], outline.inward[best]
    return loss, LossSpot(outline.part, place, inward, metal.name, skin, _width(frequency, conductor, metal))


def _thickness(conductor: Conductor) -> float:
    """Of a conductor, as if it were a strip [m]."""
    return 2 * conductor.part.area / sum(outline.perimeter for outline in conductor.part.outlines)


def _width(frequency: float, conductor: Conductor, metal: Material) -> float:
    """Of a zoom where a metal of a conductor is [m]."""
    part = conductor.part
    skin = metal.skin_depth(frequency, conductor.temperature)
    coated = max(COATS * min(part.layers, default=math.inf), SEEN * skin)
    return min(DEPTHS * skin, coated, METAL * _thickness(conductor))


def _around(outline: OutlineSurface, width: float) -> FloatArray:
    """|J|^2 on average over a length of the outline with each of its points in the middle, (n,) [A2/m4]."""
    steps = np.hypot(*np.diff(outline.position, axis=0, append=outline.position[:1]).T)
    strength = np.abs(outline.density) ** 2
    pieces = 0.5 * steps * (strength + np.roll(strength, -1))
    along = np.concatenate(([0.0], np.cumsum(np.tile(steps, 3))))
    total = np.concatenate(([0.0], np.cumsum(np.tile(pieces, 3))))
    count, half = len(steps), 0.5 * min(width, float(steps.sum()))
    middle = along[count : 2 * count]
    return np.asarray(np.interp(middle + half, along, total) - np.interp(middle - half, along, total)) / (2 * half)


def _metal_at(flow: SteadyFlow, part: int, place: FloatArray) -> Material:
    """The metal of a conductor at a place (2,) on its surface [m]."""
    d = flow.discretisation
    rows = np.flatnonzero(d.mesh.part == part)
    nodes = d.elements.positions(rows, lattice(d.order)[:, 1:] / d.order)
    nearest = rows[np.hypot(*np.moveaxis(nodes - place, -1, 0)).min(axis=1).argmin()]
    return flow.problem.conductors[part].metals[d.mesh.regions[d.mesh.region[nearest]][1]]
