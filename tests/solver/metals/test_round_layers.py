"""Round rods and tubes of layers: Bessel functions, Rayleigh's limit, and circles that are one piece."""

import math

import pytest
from scipy.special import ive

from crosscurrent.solver.metals.layers import Layer, LayerError
from crosscurrent.solver.metals.materials import Material
from crosscurrent.solver.metals.round_layers import round_surface

COPPER = Material("copper", 58e6)
MU0 = 4e-7 * math.pi


@pytest.mark.parametrize("depths", [0.1, 1.0, 10.0, 1e3])
def test_a_rod_is_kelvins(depths):
    """Z = p / (2 pi r sigma) I0(p r) / I1(p r), Lord Kelvin 1889."""
    frequency = 1e4
    radius = depths * COPPER.skin_depth(frequency)
    p = (1 + 1j) / COPPER.skin_depth(frequency)
    exact = p / (2 * math.pi * radius * 58e6) * ive(0, p * radius) / ive(1, p * radius)
    found = complex(round_surface([Layer(COPPER, radius)], frequency).impedance)
    assert found == pytest.approx(exact, rel=1e-12)


def test_at_rest_a_rod_has_its_area_and_mu0_over_8_pi():
    """Lord Rayleigh, 1886: 50 nH/m inside."""
    found = round_surface([Layer(COPPER, 0.002)], 0.01)
    assert float(found.resistance) == pytest.approx(1 / (58e6 * math.pi * 0.002**2), rel=1e-9)
    assert complex(found.impedance).imag / (2 * math.pi * 0.01) == pytest.approx(MU0 / (8 * math.pi), rel=1e-6)


def test_rings_of_one_metal_are_one_rod():
    whole = complex(round_surface([Layer(COPPER, 0.005)], 20e3).impedance)
    rings = [Layer(COPPER, 0.002), Layer(COPPER, 0.0025), Layer(COPPER, 0.0005)]
    assert complex(round_surface(rings, 20e3).impedance) == pytest.approx(whole, rel=1e-10)


def test_a_thin_tube_at_rest():
    found = round_surface([Layer(COPPER, 0.001)], 0.01, bore=0.010)
    assert float(found.resistance) == pytest.approx(1 / (58e6 * math.pi * (0.011**2 - 0.010**2)), rel=1e-9)


def test_a_solid_rod_has_no_inside():
    with pytest.raises(LayerError):
        round_surface([Layer(COPPER, 0.005)], 50.0, returns="inside")
