"""Layers of ever smaller triangles at sharp corners, as many as the share of the error that sits there asks for."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from crosscurrent.geometries.arrays import FloatArray, IntArray
from crosscurrent.geometries.meshing.corners import graded, sharp_corners
from crosscurrent.geometries.meshing.mesh import Mesh

from .discretisation import Discretisation
from .indicator import at_corners
from .region_metals import any_magnetic

GAIN = {False: 0.5, True: 0.5**0.5}  # what halving its triangles leaves of a corner's error; permeability jumps there
HIDDEN = 0.1  # of what is wanted where it jumps: two orders see little of what is far smaller than triangles
DEEPEST = 40  # halvings at a corner at once


@dataclass(frozen=True)
class CornerLayers:
    """How many times over the triangles at each sharp corner are to be halved, and what of the error sits elsewhere.

    Parameters
    ----------
    corners : (k,) int
        Points of a mesh.
    layers : (k,) int
        Of its triangles at them.
    rest : (t,) float
        Weights of the triangles that gain nothing by that; all of them where no layers are wanted.
    """

    corners: IntArray
    layers: IntArray
    rest: FloatArray

    @property
    def wanted(self) -> bool:
        """Whether any corner holds too much."""
        return bool(self.layers.any())

    def graded(self, mesh: Mesh) -> Mesh:
        """A mesh, of which the points are still the first ones, with these layers."""
        return graded(mesh, self.corners, self.layers)


def corner_layers(d: Discretisation, weights: FloatArray, wanted: float) -> CornerLayers:
    """Layers that leave no more than wanted of the error at all corners together.

    Parameters
    ----------
    d : Discretisation
    weights : (t,) float
        What of the error sits in each triangle.
    wanted : float
        In the same unit; a tenth of it where permeability jumps.
    """
    magnetic = any_magnetic(d.metals)
    wanted *= HIDDEN if magnetic else 1.0
    corners = sharp_corners(d.mesh, d.mesh.region)
    own = at_corners(d.mesh, corners)
    share = np.bincount(own[own >= 0], weights[own >= 0], minlength=len(corners))
    many = share > wanted / max(len(share), 1)
    layers = np.zeros(len(share), dtype=np.int64)
    halvings = np.log(share[many] * many.sum() / wanted) / -math.log(GAIN[magnetic])
    layers[many] = np.clip(np.ceil(halvings), 0, DEEPEST)
    return CornerLayers(corners, layers, np.where(own >= 0, 0.0, weights) if layers.any() else weights)
