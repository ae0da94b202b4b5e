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

TOGETHER = 600  # edges of regions triangulated at once: what many have between them costs more than calls do


@dataclass(frozen=True, eq=False)
class Opening:
    """A part of a mesh that is still open.

    Attributes
    ----------
    edges : set of (int, int)
        Directed edges around it, with it on their left.
    limit : callable, optional
        What `Interior` says of it.
    region : int
        What it is to be filled with.
    """

    edges: OpenEdges
    limit: Limit | None
    region: int


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
    >>> fill(parts, [Opening({(0, 1), (1, 2), (2, 3), (3, 0)}, lambda places: np.full(len(places), np.inf), 7)])
    >>> np.concatenate(parts.region).tolist()
    [7, 7, 7, 7]
    """
    if sum(len(one.edges) for one in openings) <= TOGETHER or len(openings) == 1:
        interiors, corners = _interiors(assembly, openings)
        try:
            places, triangles, owner = mesh_interiors(interiors)
        except MeshError as fault:
            if len(openings) == 1:
                raise LayerCollision(crossing_places(interiors[0].points, interiors[0].edges)) from fault
        else:
            first = assembly.add_points(places[len(corners) :])
            numbers = np.append(corners, first + np.arange(len(places) - len(corners)))
            assembly.add_triangles(numbers[triangles], np.array([one.region for one in openings])[owner])
            return
    half = len(openings) // 2
    fill(assembly, openings[:half])
    fill(assembly, openings[half:])


def _interiors(assembly: Assembly, openings: Sequence[Opening]) -> tuple[list[Interior], IntArray]:
    """The openings as they are triangulated, and the mesh's numbers of their corners, one after the other."""
    edges = [np.array(sorted(one.edges)) for one in openings]
    sweep = np.split(assembly.edge_sweeps(np.concatenate(edges)), np.cumsum([len(some) for some in edges[:-1]]))
    places, interiors, corners = assembly.places, [], []
    for one, pairs, turns in zip(openings, edges, sweep, strict=True):
        own, local = np.unique(pairs, return_inverse=True)
        interiors.append(Interior(places[own], local.reshape(-1, 2), turns, one.limit))
        corners.append(own)
    return interiors, np.concatenate(corners)
