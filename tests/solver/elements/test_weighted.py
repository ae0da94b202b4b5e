"""Matrices with a weight against integrals known in closed form."""

from __future__ import annotations

import math

import numpy as np
import pytest

from crosscurrent.geometries.meshing.mesher import mesh_section
from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.section import Section
from crosscurrent.geometries.plane.shapes import bar, round_bar
from crosscurrent.solver.elements.half_plane import Weight
from crosscurrent.solver.elements.operators import Elements

RING, RADIUS = 0.05, 0.03


def _elements(order: int, weight: Weight, *parts: Part) -> Elements:
    return Elements(mesh_section(Section(parts, axial=True), [[2e-3]] * len(parts)), order, weight)


@pytest.mark.parametrize("order", [2, 4])
def test_conductance_of_a_turn_of_round_wire(order: int) -> None:
    """Integral of 1 / (2 pi r) over a disc: a - sqrt(a^2 - b^2)."""
    elements = _elements(order, Weight.FLUX, Part("turn", round_bar(2 * RADIUS).placed((RING, 0.0))))
    found = elements.mass_blocks.sum()
    assert found == pytest.approx(RING - math.sqrt(RING**2 - RADIUS**2), rel=1e-9)
    assert elements.load_blocks.sum() == pytest.approx(found, rel=1e-13)


def test_matrices_of_the_order_below_are_within_those_of_an_order() -> None:
    """Functions of order 3 are among those of order 4: their integrals are the same, by other quadratures."""
    parts = Part("turn", round_bar(0.02).placed((RING, 0.0))), Part("billet", bar(0.04, 0.03))
    below, own, above = (_elements(order, Weight.FLUX, *parts) for order in (3, 3, 4))
    below.within(above)
    for what in ("stiffness_blocks", "mass_blocks"):
        found, known = getattr(below, what), getattr(own, what)
        assert abs(found - known).max() < 1e-11 * abs(known).max()


def test_volume_of_a_ring_and_of_a_ball() -> None:
    """Pappus: 2 pi a pi b^2; and 4 pi b^3 / 3."""
    ring = _elements(3, Weight.VOLUME, Part("ring", round_bar(2 * RADIUS).placed((RING, 0.0))))
    assert ring.mass_blocks.sum() == pytest.approx(2 * math.pi**2 * RING * RADIUS**2, rel=1e-9)
    ball = _elements(3, Weight.VOLUME, Part("ball", round_bar(0.04)))
    assert ball.mass_blocks.sum() == pytest.approx(4 / 3 * math.pi * 0.02**3, rel=1e-9)


def test_energy_of_a_uniform_field_in_a_billet() -> None:
    """2 pi r A = pi r^2 of 1 T: integral W |grad|^2 is the volume; and its load in closed form."""
    elements = _elements(4, Weight.FLUX, Part("billet", bar(0.04, 0.03)))
    rows, mesh = elements.metal, elements.mesh
    places = np.asarray(elements.mesh.points)
    assert (places[:, 0] >= 0).all()
    from crosscurrent.geometries.meshing.lattice import lattice

    at = lattice(4)[:, 1:] / 4
    radius = elements.positions(rows, at)[..., 0]
    reach = elements.reaches[rows] @ np.column_stack((1 - at.sum(axis=1), at)).T
    local = math.pi * (radius + np.where(elements.at_axis[rows, None], reach, 0.0)) ** 2
    energy = np.einsum("ti,tij,tj->", local, elements.stiffness_blocks[rows], local)
    assert energy == pytest.approx(math.pi * 0.02**2 * 0.03, rel=1e-11)
    # integral W pi r^2 = r^2 / 4 times the height
    assert (elements.load_blocks * local).sum() == pytest.approx(0.25 * 0.02**2 * 0.03, rel=1e-11)
    assert mesh.axial
