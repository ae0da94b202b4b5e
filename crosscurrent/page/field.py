"""Fields in the metal of a section as numbers that a page paints: current density, loss, temperature."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeAlias

import numpy as np
import numpy.typing as npt

from crosscurrent.geometries.arrays import ComplexArray, FloatArray, IntArray
from crosscurrent.postprocess.answers.field_values import current_density, is_solved, patch_of, small_triangles
from crosscurrent.solver.field.flow import SteadyFlow
from crosscurrent.solver.field.loss_density import loss_density

from .words import Plain

FINE, FINER = 2, 3  # pieces along an element of many, of few
MANY = 4000
ROUND, ROUNDER = 6, 12  # the same where a side is curved: chords of 4 degrees, as outlines have them, of few
MANY_CURVED = 800
Values: TypeAlias = Callable[[IntArray, FloatArray], ComplexArray | FloatArray]  # of elements at reference places


def density(flow: SteadyFlow) -> tuple[Plain, bytes]:
    """Current density [A/m2] wherever it was solved for; as `painted`."""
    return painted(flow, _solved(flow), lambda rows, places: current_density(flow, rows, places))


def loss(flow: SteadyFlow) -> tuple[Plain, bytes]:
    """Density of the loss [W/m3], that within strands included; as `painted`."""
    return painted(flow, _solved(flow), lambda rows, places: loss_density(flow, rows, places))


def _solved(flow: SteadyFlow) -> IntArray:
    metal = flow.discretisation.elements.metal
    return np.asarray(metal[is_solved(flow, metal)])


def painted(flow: SteadyFlow, metal: IntArray, values: Values) -> tuple[Plain, bytes]:
    """A field in elements of metal, as points of small triangles.

    Parameters
    ----------
    flow : SteadyFlow
    metal : (m,) int
        The elements.
    values : callable
        Of the field in elements at reference places, real or complex.

    Returns
    -------
    header : dict
        `cuts` of straight elements and of those with a curved side: their count of points, their small triangles by
        these; for each part in order how many elements of each it has and its middle [m]; the lowest and the highest
        value, of complex ones 0 and the largest modulus.
    payload : bytes
        For every point of every element float32: x, y from the middle of the part [m], real and imaginary part.
    """
    mesh, elements = flow.discretisation.mesh, flow.discretisation.elements
    curved = elements.are_curved(metal)
    fineness = (FINE if len(metal) > MANY else FINER, ROUND if curved.sum() > MANY_CURVED else ROUNDER)
    blocks, parts, ends = [], [], []
    for number, conductor in enumerate(flow.problem.conductors):
        own, middle = mesh.part[metal] == number, conductor.part.bounds.mean(axis=0)
        kinds = metal[own & ~curved], metal[own & curved]
        parts.append({"elements": [len(rows) for rows in kinds], "middle": middle.tolist()})
        for rows, pieces in zip(kinds, fineness, strict=True):
            if not len(rows):
                continue
            patch = patch_of(flow, rows, pieces)
            value = values(rows, patch.places).ravel()
            blocks.append(np.column_stack((patch.position - middle, value.real, value.imag)).astype(np.float32))
            ends += [0.0, np.abs(value).max()] if np.iscomplexobj(value) else [value.min(), value.max()]
    payload: npt.NDArray[np.float32] = np.concatenate(blocks) if blocks else np.empty((0, 4), dtype=np.float32)
    cuts = [{"count": (n + 1) * (n + 2) // 2, "triangles": small_triangles(n).tolist()} for n in fineness]
    low, high = (float(min(ends)), float(max(ends))) if ends else (0.0, 0.0)
    return {"cuts": cuts, "parts": parts, "low": low, "high": high}, payload.tobytes()
