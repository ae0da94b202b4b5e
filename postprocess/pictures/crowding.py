"""The most crowded spot of a section and the window that zooms it to a few skin depths."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ...geometries.mesh import lattice
from ...geometries.outline import FloatArray
from ...solver.flow import Flow
from ..samples import Surface, current_density
from .frames import View

DEPTHS = 12.0  # width of the zoom in skin depths
COATS = 30.0  # or in thicknesses of the thinnest coat, if that is less
METAL = 4.0  # or in thicknesses of the metal
PLAIN = 0.12  # inches of skin depth on the map that need no zoom
PAPER = np.array([6.8, 4.3])  # about the room a map has [in]


@dataclass(frozen=True, eq=False)
class Spot:
    """Where |J| is largest.

    Attributes
    ----------
    part : int
        Number of the conductor.
    place, inward : (2,) float
        [m]; unit vector into the metal.
    density : float
        |J| there [A/m2].
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
    density: float
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


def crowded_spot(flow: Flow, outlines: Sequence[Surface]) -> Spot:
    """The node of the elements at which |J| is largest."""
    d = flow.discretisation
    metal = d.elements.metal
    nodes = lattice(d.order)[:, 1:] / d.order
    strength = np.abs(current_density(flow, metal, nodes))
    row, node = np.unravel_index(int(strength.argmax()), strength.shape)
    place = d.elements.positions(metal[row : row + 1], nodes[node : node + 1])[0, 0]
    part, layer = d.mesh.regions[d.mesh.region[metal[row]]]
    conductor = flow.problem.conductors[part]
    material = conductor.metals[layer]
    skin = material.skin_depth(flow.fields.frequency, conductor.temperature)
    metal_part = conductor.part
    thickness = 2 * metal_part.area / sum(outline.perimeter for outline in metal_part.outlines)
    width = min(DEPTHS * skin, COATS * min(metal_part.layers, default=math.inf), METAL * thickness)
    inward = np.zeros(2)
    gap = math.inf
    for outline in (o for o in outlines if o.part == part):
        distance = np.hypot(*(outline.position - place).T)
        if distance.min() < gap:
            gap, inward = float(distance.min()), outline.inward[distance.argmin()]
    return Spot(part, place, inward, float(strength.max()), material.name, skin, width)
