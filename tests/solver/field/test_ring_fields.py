"""Currents and fields of rings within their bundle: against Ampere's law and a plain sum over the rings."""

from __future__ import annotations

import math
from functools import cache

import numpy as np
import pytest

from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.shapes import round_bar
from crosscurrent.solver.field.problem import Circuit, Conductor, Problem
from crosscurrent.solver.field.ring_fields import ring_gradients, ring_shares, uneven_loss
from crosscurrent.solver.field.solve import solve
from crosscurrent.solver.field.solved_flow import SolvedFlow
from crosscurrent.solver.metals.depth import MU0
from crosscurrent.solver.metals.materials import MATERIALS
from crosscurrent.solver.metals.strand_rings import ring_counts
from crosscurrent.solver.metals.strands import Medium, Rings, Strands

RADIUS, CURRENT = 1.5e-3, 10.0
PLACES = np.array([[0.1, 0.1], [0.3, 0.3], [0.6, 0.2]])


@cache
def flow(lay: str) -> SolvedFlow:
    strands = Strands(217, 1e-4, lay=lay)  # type: ignore[arg-type]
    lead = Conductor(Part("lead", round_bar(2 * RADIUS).placed((4e-3, 1e-3))), MATERIALS["copper"], strands=strands)
    return solve(Problem((lead,), (Circuit("feed", CURRENT, ("lead",)),)), 300e3, accuracy=1e-4).fine


def rings() -> tuple[Medium, Rings]:
    (medium,) = flow("concentric").discretisation.strands
    assert medium is not None
    assert medium.rings is not None
    return medium, medium.rings


def enclosed(radius: float) -> complex:
    """Part of the current within a radius."""
    within, (_, known) = 217 * (radius / RADIUS) ** 2, rings()
    left = [max(0.0, min(n, within - before)) for n, before in zip(
        ring_counts(217), np.cumsum((0, *ring_counts(217))), strict=False)]  # fmt: skip
    return complex(np.dot(left, known.shares) / 217)


def test_the_field_is_that_of_the_current_within() -> None:
    found = flow("concentric")
    e, rows = found.discretisation.elements, found.discretisation.elements.metal
    where = e.positions(rows, PLACES)
    gradient = e.gradient(found.potential, rows, PLACES) + ring_gradients(found, rows, where)
    away = where - np.array([4e-3, 1e-3])
    radius = np.hypot(*np.moveaxis(away, -1, 0))
    medium, _ = rings()
    expected = [
        -medium.permeability * MU0 * CURRENT * enclosed(r) / (2 * math.pi * r) for r in radius.ravel().tolist()
    ]
    outward = (gradient * away).sum(axis=-1) / radius
    np.testing.assert_allclose(outward.ravel(), expected, atol=2e-3 * np.abs(expected).max())


def test_shares_of_the_rings() -> None:
    found, (_, known) = flow("concentric"), rings()
    rows, radius = found.discretisation.elements.metal[:1], RADIUS * np.sqrt(np.array([0.5, 3.0, 200.0]) / 217)
    where = np.array([4e-3, 1e-3]) + radius[None, :, None] * np.array([0.6, 0.8])
    assert ring_shares(found, rows, where)[0] == pytest.approx([known.shares[k] for k in (0, 1, 8)])


def test_loss_over_that_of_an_even_current() -> None:
    medium, known = rings()
    radius = RADIUS * (np.arange(200_000) + 0.5) / 200_000
    part = np.array([enclosed(r) for r in radius[::50].tolist()])
    eddies = -2 * math.pi * 300e3 * MU0 * medium.permeability.imag / (2 * math.pi)
    r = radius[::50] / RADIUS
    fields = eddies * ((np.abs(part) ** 2 - r**4) / r).mean()
    squared = np.dot(ring_counts(217), np.abs(known.shares) ** 2) / 217
    carried = (medium.impedance - known.excess).real * (squared - 1)
    assert uneven_loss(flow("concentric"), 0) == pytest.approx(CURRENT**2 * (fields + carried), rel=1e-3)


def test_nothing_without_rings() -> None:
    found = flow("transposed")
    rows = found.discretisation.elements.metal
    where = found.discretisation.elements.positions(rows, PLACES)
    assert (ring_shares(found, rows, where) == 1).all()
    assert not ring_gradients(found, rows, where).any()
    assert uneven_loss(found, 0) == 0.0
