"""The roughness models against published formulas and values, an independent integration, and their limits."""

import re
import time

import numpy as np
import pytest
from common import SIGMA, frequency_for, metal
from reference_rows import rows
from scipy.integrate import solve_ivp
from scipy.special import ndtr

from crosscurrent.solver.metals.layers import Layer
from crosscurrent.solver.metals.roughness import RoughnessError, layered_roughening, roughening, spread

MODELS = ("gradient", "hammerstad-jensen", "groiss")
COPPER, GOLD, NICKEL = metal(SIGMA), metal(41e6), metal(14.3e6, 100.0)


@pytest.mark.parametrize(("model", "word"), [*zip(MODELS, ("gradient", "Hammerstad", "Groiss"), strict=True)])
def test_every_row(model, word):
    found = [row for row in rows("rough") if word in row.quantity]
    assert len(found) == 12
    for row in found:
        ratio = float(re.search(r"Rq/delta=([\d.]+)", row.conditions)[1])
        # six decimals are printed
        assert roughening(ratio, model).resistance == pytest.approx(row.value, rel=1e-6, abs=6e-7), row.id


def impedance(ratio, below=1 + 1j, start=8.0):
    """Surface impedance times sigma depth at the mean plane, from that at `start` Rq below it: dZ/ds by Runge-Kutta."""
    solved = solve_ivp(
        lambda s, z: ratio * (2j - ndtr(start - s) * z * z), (0, start + 8.0), [below], method="DOP853", rtol=1e-11,
        atol=1e-11,
    )  # fmt: skip
    return solved.y[0, -1] - 16j * ratio


@pytest.mark.parametrize("ratio", [2e-3, 0.03, 0.4, 0.7, 1.3, 4.0, 30.0])
def test_gradient_model_against_an_integration(ratio):
    exact, found = impedance(ratio), roughening(ratio)
    assert found.resistance == pytest.approx(exact.real, rel=1e-7)
    assert abs(found.reactance - exact.imag) < 1e-7 * abs(exact)
    assert found.factor * (1 + 1j) == pytest.approx(exact, rel=1e-7)


@pytest.mark.parametrize("thickness", [12.0, 4.0, 1.5])
def test_rough_plating_against_an_integration(thickness):
    # gold over nickel, in Rq of the gold
    depth, rq = 2e-6, 0.5e-6
    frequency = frequency_for(depth, GOLD.conductivity)
    stack = [Layer(NICKEL), Layer(GOLD, thickness * rq)]
    found = layered_roughening(stack, frequency, rq)
    nickel = (1 + 1j) * np.sqrt(100.0 * GOLD.conductivity / NICKEL.conductivity)

    def under(gold):
        t = np.tanh((1 + 1j) * gold * rq / depth)
        return (1 + 1j) * (nickel + (1 + 1j) * t) / ((1 + 1j) + nickel * t)

    rough, smooth = impedance(rq / depth, under(max(thickness - 8, 0)), min(thickness, 8)), under(thickness)
    assert found.resistance == pytest.approx(rough.real / smooth.real, rel=1e-7)
    assert found.reactance == pytest.approx(rough.imag / smooth.imag, rel=1e-7)


@pytest.mark.parametrize("thickness", [1.0, 3.0, 20.0])
def test_resting_current_in_a_rough_foil_sees_its_metal(thickness):
    # the metal of a foil whose face is rough: the integral of Phi from the air to its back
    metal_there = thickness * ndtr(thickness) + np.exp(-(thickness**2) / 2) / np.sqrt(2 * np.pi)
    found = layered_roughening([Layer(COPPER, thickness * 1e-6)], 1.0, 1e-6)
    assert found.resistance == pytest.approx(thickness / metal_there, rel=1e-8)


def test_one_metal_in_layers_is_as_rough_as_in_one_piece():
    frequency = np.logspace(5, 10, 11)
    whole = layered_roughening([Layer(COPPER)], frequency, 0.8e-6)
    parts = layered_roughening([Layer(COPPER), Layer(COPPER, 1e-5)], frequency, 0.8e-6)
    ratio = np.array([0.8e-6 / COPPER.skin_depth(f) for f in frequency])
    for found in (whole, parts):
        assert found.resistance == pytest.approx(roughening(ratio).resistance, rel=1e-7)
        assert found.reactance == pytest.approx(roughening(ratio).reactance, abs=1e-6)


@pytest.mark.parametrize("model", MODELS)
def test_smooth_is_one_and_rougher_is_worse(model):
    assert roughening(0.0, model).resistance == 1
    assert roughening(0.0, model).reactance == 1
    assert roughening(1e-5, model).resistance == pytest.approx(1, abs=1e-9)
    rising = roughening(np.logspace(-2, 3, 2001), model).resistance
    assert (np.diff(rising) >= 0).all()
    assert rising[-1] > 1.99


def test_fits_level_off_at_two_and_the_gradient_model_does_not():
    assert roughening(1000.0, "hammerstad-jensen").resistance == pytest.approx(2, rel=1e-5)
    assert roughening(1000.0, "groiss").resistance == pytest.approx(2, rel=1e-5)
    assert roughening(1000.0).resistance > 100


def test_small_roughness_costs_twice_the_square_of_its_ratio():
    # second order of the perturbation: R rises and X falls by 2 ratio^2
    small = roughening(1e-3)
    assert small.resistance - 1 == pytest.approx(2e-6, rel=2e-3)
    assert small.reactance - 1 == pytest.approx(-2e-6, rel=2e-3)


def test_spread_holds_every_model():
    ratio = np.logspace(-3, 2, 40)
    low, high = spread(ratio)
    for model in MODELS:
        found = roughening(ratio, model).resistance
        assert ((low <= found) & (found <= high)).all()
    assert (low >= 1).all()
    assert spread(0.5)[1] == pytest.approx(1.367879, abs=1e-6)  # Groiss lies highest there, rough-014


def test_polish_at_8_mhz():
    # milled against polished copper: common practice, no source, says "visibly less"
    depth = COPPER.skin_depth(8e6)
    milled, polished = (float(roughening(rq / depth).resistance) for rq in (3.2e-6, 0.1e-6))
    assert milled / polished == pytest.approx(1.034, abs=1e-3)


def test_thousands_of_ratios_are_cheap():
    roughening(1.0)
    start = time.process_time()
    roughening(np.linspace(0, 10, 10_000))
    assert time.process_time() - start < 0.1


@pytest.mark.parametrize("wrong", [-0.1, 1001.0, float("nan")])
def test_ratio_out_of_range_is_refused(wrong):
    with pytest.raises(RoughnessError, match="expected 0 to 1000, found"):
        roughening(np.array([0.1, wrong]))


def test_roughness_out_of_range_is_refused():
    with pytest.raises(RoughnessError, match="found -1e-06 m; check its unit"):
        layered_roughening([Layer(COPPER)], 1e6, -1e-6)
    with pytest.raises(RoughnessError, match="1000 skin depths, found 1 m"):
        layered_roughening([Layer(COPPER)], 1e6, 1.0)
