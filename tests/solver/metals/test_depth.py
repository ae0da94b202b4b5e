"""Skin depth and walls against published values.

The wall rows are 12-digit values of (sinh 2x + sin 2x)/(cosh 2x - cos 2x) computed in many digits outside this project.
"""

import math

import pytest

from crosscurrent.solver.metals import depth

COPPER = 58e6

# thickness / skin depth -> R sigma delta of a film with the field on one side
FILM = {
    0.25: 4.00138868224,
    0.5: 2.01108472355,
    1.0: 1.08563570475,
    1.25: 0.958929946225,
    1.5: 0.918729640402,
    math.pi / 2: 0.917152335667,
    1.75: 0.92475777438,
    2.0: 0.948903223385,
    2.5: 0.990774593585,
    3.0: 1.00337861803,
    math.pi: 1.0037418732,
    4.0: 1.00056588541,
    5.0: 0.999874420828,
}

# copper of 58 MS/m: frequency -> depth [mm], common tables
COPPER_DEPTH = {50: 9.3459, 60: 8.5316, 400: 3.3043, 1e3: 2.0898, 10e3: 0.66085, 20e3: 0.46730, 100e3: 0.20898}


@pytest.mark.parametrize(("frequency", "millimetres"), COPPER_DEPTH.items())
def test_depth_in_copper(frequency, millimetres):
    assert depth.skin_depth(frequency, COPPER) * 1e3 == pytest.approx(millimetres, rel=3e-5)


def test_eight_thou_at_100_khz():  # common practice, no source
    assert depth.skin_depth(100e3, COPPER) / 25.4e-6 == pytest.approx(8.23, abs=0.005)


def test_depth_is_infinite_at_direct_current():
    assert depth.skin_depth(0, COPPER) == math.inf


@pytest.mark.parametrize(("depths", "factor"), FILM.items())
def test_film_with_field_on_one_side(depths, factor):
    assert depth.wall_factor(depths) == pytest.approx(factor, rel=1e-11)


def test_very_thin_wall_keeps_its_digits_and_very_thick_one_does_not_overflow():
    assert depth.wall_factor(1e-9) == pytest.approx(1e9, rel=1e-14)
    assert depth.wall_factor(19.9) == pytest.approx(1, rel=1e-15)
    assert depth.wall_factor(1e6) == 1


def test_best_wall_is_half_pi_depths_and_8_3_percent_better():
    assert depth.wall_factor(depth.BEST_DEPTHS) == pytest.approx(math.tanh(math.pi / 2), rel=1e-14)
    for other in (0.999, 1.001):
        assert depth.wall_factor(other * depth.BEST_DEPTHS) > depth.wall_factor(depth.BEST_DEPTHS)
    assert 1 - depth.wall_factor(depth.BEST_DEPTHS) == pytest.approx(0.0828, abs=1e-4)


def test_wall_tends_to_direct_current_and_to_the_half_space():
    thin, delta = 1e-6, depth.skin_depth(50, COPPER)
    assert depth.wall_resistance(thin, COPPER, delta) == pytest.approx(1 / (COPPER * thin), rel=1e-8)
    assert depth.wall_resistance(thin, COPPER, math.inf) == 1 / (COPPER * thin)
    assert depth.wall_resistance(1.0, COPPER, delta) == depth.sheet_resistance(COPPER, delta)


def test_sheet_resistance_of_copper():
    # S. Ramo, J. R. Whinnery, T. Van Duzer (from memory): 2.61e-7 sqrt(f) ohm for copper
    assert depth.sheet_resistance(COPPER, depth.skin_depth(1e6, COPPER)) == pytest.approx(2.61e-4, rel=1e-3)


@pytest.mark.parametrize("gain", [0.005, 0.01, 0.05, 0.3])
def test_worthwhile_thickness_keeps_its_promise(gain):
    enough = depth.worthwhile_thickness(1.0, gain)
    thicker = [enough + 0.001 * k for k in range(8000)]
    assert min(map(depth.wall_factor, thicker)) >= (1 - gain) * depth.wall_factor(enough) * (1 - 1e-9)
    slightly_thinner = depth.wall_factor(enough * 0.999)
    assert min(map(depth.wall_factor, thicker)) < (1 - gain) * slightly_thinner


def test_worthwhile_thickness_scales_with_the_depth():
    assert depth.worthwhile_thickness(0.2e-3) == pytest.approx(0.2e-3 * depth.worthwhile_thickness(1.0))
