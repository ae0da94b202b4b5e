"""Currents that are no sines: against Bessel functions harmonic by harmonic, and single solves."""

import math

import numpy as np
import pytest
from common import SIGMA, alone, rod
from scipy.special import ive

from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.shapes import round_bar
from crosscurrent.solver.field.problem import Circuit, Conductor, Problem
from crosscurrent.solver.field.solve import solve
from crosscurrent.solver.metals.materials import Material
from crosscurrent.solver.metals.strands import Lay, Strands
from crosscurrent.solver.time.harmonics import harmonic_loss
from crosscurrent.solver.time.spectrum import MOST, Samples, Spectrum

MU0, RADIUS = 4e-7 * np.pi, 0.002


def wire(current: complex = 1.0) -> Problem:
    return alone(rod("wire", 2 * RADIUS), current, "feed")


def bessel(frequency: np.ndarray) -> np.ndarray:
    """Resistance of a round wire (Kelvin 1889), its own at 0 Hz [ohm/m]."""
    still = 1 / (SIGMA * np.pi * RADIUS**2)
    p = np.sqrt(2j * np.pi * np.where(frequency > 0, frequency, 1) * MU0 * SIGMA) * RADIUS
    return np.where(frequency > 0, (still * p / 2 * ive(0, p) / ive(1, p)).real, still)


def trapezoid(period: float, rise: float, peak: float) -> Samples:
    """Flat, with edges of a rise time."""
    half = period / 2
    times = np.array([0.0, rise, half - rise, half + rise, period - rise])
    return Samples(times, peak * np.array([0.0, 1, 1, -1, -1]), period)


def test_a_square_wave_in_a_wire_against_bessel() -> None:
    order = np.arange(1, 80, 2)
    frequency, phasors = 10e3 * order, 4 / (np.pi * order) / math.sqrt(2) * -1j * 100
    found = harmonic_loss(wire(), ["feed"], Spectrum(frequency, phasors), accuracy=1e-5)
    exact = bessel(frequency) * np.abs(phasors) ** 2
    np.testing.assert_allclose(found.losses[:, 0], exact, rtol=1e-5)
    assert found.total == pytest.approx(exact.sum(), rel=1e-5)
    assert abs(found.total - exact.sum()) <= found.error
    assert found.resistance == pytest.approx(exact.sum() / (np.abs(phasors) ** 2).sum(), rel=1e-5)
    assert found.shares.sum() == pytest.approx(1)
    assert found.strongest == 10e3
    assert found.by_conductor.sum() == pytest.approx(found.total)
    assert found.errors_by_conductor.sum() == pytest.approx(found.error)


def test_a_sine_is_the_single_point() -> None:
    single = solve(wire(100.0), 20e3)
    found = harmonic_loss(wire(), ["feed"], Spectrum(np.array([20e3]), np.array([100 + 0j])))
    np.testing.assert_allclose(found.losses[0], single.fine.powers.real, rtol=1e-12)
    times = np.linspace(0, 50e-6, 400, endpoint=False)
    sampled = Samples(times, 100 * math.sqrt(2) * np.cos(2 * np.pi * 20e3 * times), 50e-6).spectrum(1e-3)
    assert abs(sampled.phasors[1]) == pytest.approx(100, rel=1e-4)
    assert len(sampled.phasors) < 4
    again = harmonic_loss(wire(), ["feed"], sampled)
    assert again.total == pytest.approx(single.fine.powers.real.sum(), rel=2e-3)


def test_what_is_left_out_costs_no_more_than_stated() -> None:
    samples = trapezoid(1e-4, 5e-6, 100.0)
    found = harmonic_loss(wire(), ["feed"], samples.spectrum(1e-2))
    order = np.arange(len(found.spectrum.phasors), 4001)
    beyond = bessel(order / 1e-4) * np.abs([samples.harmonic(int(n)) for n in order]) ** 2
    assert len(found.spectrum.phasors) < MOST / 2
    assert beyond.sum() <= found.rest
    assert found.rest < 0.03 * found.total


def test_three_phases_carry_it_a_third_later() -> None:
    turn = np.exp(-2j * np.pi / 3)
    rods = [rod(name, 0.01, 0.02 * n) for n, name in enumerate("ABC")]
    problem = Problem(tuple(rods), tuple(Circuit(k, 1.0 * turn**n, (k,)) for n, k in enumerate("ABC")))
    spectrum = Spectrum(np.array([50.0, 150.0]), np.array([100, 30 + 0j]))
    found = harmonic_loss(problem, ["A", "B", "C"], spectrum)
    for row, (f, scale, power) in zip(found.losses, ((50.0, 100, 1), (150.0, 30, 3)), strict=True):
        circuits = tuple(Circuit(k, scale * turn ** (n * power), (k,)) for n, k in enumerate("ABC"))
        np.testing.assert_allclose(row, solve(Problem(tuple(rods), circuits), f).fine.powers.real, rtol=1e-3)


@pytest.mark.parametrize(("lay", "names"), [("transposed", ("a",)), ("transposed", ("a", "b")), ("concentric", ("a",))])
def test_bundles_cost_what_single_solves_say(lay: Lay, names: tuple[str, ...]) -> None:
    """Alone and in parallel to a thicker wire; what no reduced model can hold is solved one by one."""
    strands, shape = Strands(100, 1e-4, lay=lay), round_bar(1.5e-3)
    copper = Material("copper", SIGMA)
    lead = Conductor(Part("a", shape), copper, strands=strands)
    rods = [Conductor(Part(n, shape.placed((x, 0.0))), copper) for n, x in (("b", 3e-3), ("c", 1.2e-2))]
    problem = Problem((lead, *rods), (Circuit("feed", 1.0, names, ("c",)),))
    frequency, current = 50e3 * np.arange(1, 6), 1 / np.arange(1, 6) + 0j
    found = harmonic_loss(problem, ["feed"], Spectrum(frequency, current))
    for number in (0, 3):
        one = solve(problem, float(frequency[number]))
        expected = one.fine.powers.real * abs(current[number]) ** 2
        np.testing.assert_allclose(found.losses[number], expected, rtol=1e-3)
        assert abs(found.currents[number] - current[number] * one.fine.currents).max() < 1e-3
