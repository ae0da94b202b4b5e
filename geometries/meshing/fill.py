"""What boundary layers and gaps leave open of a mesh, filled with triangles, many regions at once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from crosscurrent.geometries.arrays import IntArray
from crosscurrent.geometries.errors import MeshError

from .assembly import Assembly
from .collision import LayerCollision, crossing_places
from .gaps import OpenEdges
from .interior import mesh_interiors
from .side_by_side import Interior, Limit

TOGETHER = 600  # corners of regions triangulated at once: what many have between them costs more than calls do


@dataclass(frozen=True, eq=False)
class Opening:
    """A part of a mesh that is still open.

    Attributes
    ----------
    interior : Interior
    corners : (n,) int
        The mesh's numbers of its corners.
    region : int
        What it is to be filled with.
    """

    interior: Interior
    corners: IntArray
    region: int

    @classmethod
    def of(cls, left: OpenEdges, assembly: Assembly, limit: Limit | None, region: int) -> Opening:
        """Left of some open edges."""
        edges = np.array(sorted(left))
        corners, local = np.unique(edges, return_inverse=True)
        sweep = assembly.edge_sweeps(edges)
        return cls(Interior(assembly.places[corners], local.reshape(-1, 2), sweep, limit), corners, region)


def fill(assembly: Assembly, openings: Sequence[Opening]) -> None:
    """Add triangles until nothing is open; half of the openings at a time where they are too many or do not agree.

    Raises
    ------
    LayerCollision
        The edges of an opening cross.

    Examples
    --------
    >>> parts = Assembly()
    >>> first = parts.add_points(np.array([[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]]))
    >>> parts.add_curved_edges(np.array([[0, 1]]), np.array([[0.5, -0.5]]))
    >>> around = {(0, 1), (1, 2), (2, 3), (3, 0)}
    >>> fill(parts, [Opening.of(around, parts, lambda places: np.full(len(places), np.inf), 7)])
    >>> np.concatenate(parts.region).tolist()
    [7, 7, 7, 7]
    """
    count = sum(len(one.corners) for one in openings)
    if count <= TOGETHER or len(openings) == 1:
        try:
            _fill_at_once(assembly, openings)
            return
        except MeshError as fault:
            if len(openings) == 1:
                only = openings[0].interior
                raise LayerCollision(crossing_places(only.points, only.edges)) from fault
    half = len(openings) // 2
    fill(assembly, openings[:half])
    fill(assembly, openings[half:])


def _fill_at_once(assembly: Assembly, openings: Sequence[Opening]) -> None:
    places, triangles, owner = mesh_interiors([one.interior for one in openings])
    corners, region = np.concatenate([one.corners for one in openings]), np.array([one.region for one in openings])
    first = assembly.add_points(places[len(corners) :])
    numbers = np.append(corners, first + np.arange(len(places) - len(corners)))
    assembly.add_triangles(numbers[triangles], region[owner])
