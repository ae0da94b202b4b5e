"""What surfaces round an axis give away."""

import numpy as np
import pytest
from heated_pieces import AMBIENT, piece

from crosscurrent.geometries.plane.shapes import bar, round_bar, tube
from crosscurrent.solver.heat.convection import SCATTER, ZERO, AirStream, Face, film
from crosscurrent.solver.heat.cooling import STEFAN_BOLTZMANN
from crosscurrent.solver.heat.open_surface import seen_through_ends


def given(surface, temperature):
    walls = surface.piece.surface
    convected, radiated, _ = surface.given(np.full(len(walls.area), temperature + ZERO))
    return float(convected @ walls.area), float(radiated @ walls.area)


def test_ball_radiates_as_stefan_and_boltzmann_say():
    _, radiated = given(piece(round_bar(0.06), emissivity=0.7), 900.0)
    expected = 0.7 * STEFAN_BOLTZMANN * 4 * np.pi * 0.03**2 * ((900 + ZERO) ** 4 - (AMBIENT + ZERO) ** 4)
    assert radiated == pytest.approx(expected, rel=1e-9)


def test_two_equal_discs_see_each_other_as_the_handbooks_say():
    """F = 0.3820 at a distance of one radius, 0.1716 at two: Howell's catalogue, C-40 (from memory)."""
    for length, between in ((1.0, 0.38197), (2.0, 0.17157)):
        share = (1 - between) / length
        assert seen_through_ends(1.0, length, 1.0) == pytest.approx(share, rel=2e-5)
        assert seen_through_ends(1.0, length, 0.4) == pytest.approx(0.4 * share / (0.4 + 0.6 * share), rel=2e-5)


def test_a_bore_loses_through_its_ends_alone():
    surface = piece(bar(0.01, 0.2).placed((0.025, 0.0)), emissivity=1.0)
    _, radiated = given(surface, 900.0)
    fourth = STEFAN_BOLTZMANN * ((900 + ZERO) ** 4 - (AMBIENT + ZERO) ** 4)
    outside = 2 * np.pi * 0.03 * 0.2 + 2 * np.pi * (0.03**2 - 0.02**2)
    between = 2 + (0.2 / 0.02) ** 2
    ends = 2 * np.pi * 0.02**2 * (1 - (between - np.sqrt(between**2 - 4)) / 2)
    assert radiated == pytest.approx(fourth * (outside + ends), rel=1e-9)


def test_a_closed_hollow_loses_nothing():
    _, radiated = given(piece(tube(0.06, 0.01), emissivity=1.0), 500.0)
    fourth = STEFAN_BOLTZMANN * ((500 + ZERO) ** 4 - (AMBIENT + ZERO) ** 4)
    assert radiated == pytest.approx(4 * np.pi * 0.03**2 * fourth, rel=1e-9)


def test_stated_coefficient():
    convected, radiated = given(piece(bar(0.06, 0.1), film=12.0), 300.0)
    assert radiated == 0
    assert convected == pytest.approx(12.0 * 280.0 * 2 * np.pi * 0.03 * 0.13, rel=1e-12)


def test_lying_and_upright_billets_take_their_correlations():
    side, ends = 2 * np.pi * 0.03 * 0.16, 2 * np.pi * 0.03**2
    still, hot = AirStream(), AMBIENT + 300.0
    lying = film(Face(0.0, 0.06, 2 * np.pi * 0.03, True), still, hot, AMBIENT)[0] * side
    lying += film(Face(0.0, 0.5 * np.pi * 0.03, 2 * np.pi * 0.03, False), still, hot, AMBIENT)[0] * ends
    convected, _ = given(piece(bar(0.06, 0.16), film=None, upright=False), hot)
    assert convected == pytest.approx(300.0 * lying, rel=3e-2)  # the table of coefficients is linear between its places
    upright = film(Face(0.0, 0.16, 2 * np.pi * 0.03, False), still, hot, AMBIENT)[0] * side
    for up in (-1.0, 1.0):
        upright += film(Face(up, 0.03, 2 * np.pi * 0.03, False), still, hot, AMBIENT)[0] * ends / 2
    convected, _ = given(piece(bar(0.06, 0.16), film=None), hot)
    assert convected == pytest.approx(300.0 * upright, rel=3e-2)


def test_scatter_of_correlations_but_not_of_what_is_stated():
    surface = piece(bar(0.06, 0.16), film=None).surroundings
    assert surface.scattered(more=True).scale == 1 + SCATTER
    assert surface.scattered(more=False).scale == 1 - SCATTER
