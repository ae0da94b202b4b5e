"""Currents in time: a wire's diffusion series and Bessel spectrum, energy balance, filaments, sharing after a step."""

import math
from functools import cache

import numpy as np
import pytest
from common import SIGMA, TURN, alone, bar, metal, rod
from scipy.integrate import quad
from scipy.special import ive, j0, jn_zeros

from crosscurrent.solver.band.krylov import SweepError
from crosscurrent.solver.band.sweep import Sweep, sweep
from crosscurrent.solver.field.problem import Circuit, Problem
from crosscurrent.solver.time.excitation import half_sine, offset, step
from crosscurrent.solver.time.history import FaultHistory, fault_history

MU0, RADIUS = 4e-7 * math.pi, 0.005
STILL = 1 / (SIGMA * math.pi * RADIUS**2)
ZEROS = jn_zeros(1, 3000)
RATES = ZEROS**2 / (MU0 * SIGMA * RADIUS**2)


@cache
def wire() -> Sweep:
    return sweep(alone(rod("wire", 2 * RADIUS), circuit="feed"), [1.0, 1e6], accuracy=1e-4)


@cache
def parallel_bars() -> Sweep:
    """Copper and aluminium in parallel out, copper back."""
    light = bar("light", 0.006, 0.03, 0.02, material=metal(34.8e6))
    problem = Problem(
        (bar("heavy", 0.006, 0.03), light, bar("back", 0.006, 0.03, 0.06)),
        (Circuit("feed", 1.0, ("heavy", "light"), ("back",)),),
    )
    return sweep(problem, [1.0, 1e4])


@cache
def phases() -> Sweep:
    """Three thin rods 100 mm apart."""
    rods = tuple(rod(name, 0.008, 0.1 * k) for k, name in enumerate("ABC"))
    return sweep(Problem(rods, tuple(Circuit(k, 1.0 * TURN**n, (k,)) for n, k in enumerate("ABC"))), [1.0, 5e3])


def test_a_step_in_a_wire_diffuses_inward() -> None:
    """Loss, heat and density of the diffusion series (Carslaw and Jaeger, Conduction of Heat in Solids, 7.8)."""
    found = fault_history(wire(), "feed", step(1000.0, 0.05))
    decay = np.exp(-2 * np.outer(found.times, RATES))
    late = found.times > 2e-6
    loss = STILL * 1e6 * (1 + decay.sum(axis=1))
    np.testing.assert_allclose(found.losses[late, 0], loss[late], rtol=1e-6)
    # the sum over all 1 / (2 rate) is mu sigma R^2 / 16 (Rayleigh)
    heat = STILL * 1e6 * (found.times + MU0 * SIGMA * RADIUS**2 / 16 - (decay / (2 * RATES)).sum(axis=1))
    np.testing.assert_allclose(found.energy[late, 0][5:], heat[late][5:], rtol=5e-3)
    np.testing.assert_allclose(found.energy[-1, 0], heat[-1], rtol=1e-6)
    times = np.array([1e-5, 1e-4, 1e-3])
    now = found.transient.at(times)
    mesh = now.transient.sweep.fine.model.discretisation.mesh
    metal_points = np.unique(mesh.triangles[mesh.region == 0])
    r = np.hypot(*mesh.points[metal_points].T) / RADIUS
    for k, t in enumerate(times):
        series = 1 + (j0(np.outer(r, ZEROS)) / j0(ZEROS) * np.exp(-RATES * t)).sum(axis=1)
        density = SIGMA * now.electric(k)[metal_points].real / (1000 / (math.pi * RADIUS**2))
        np.testing.assert_allclose(density, series, atol=2e-4 * series.max())


def test_heat_of_a_half_sine_is_its_spectrum_weighted_with_the_resistance() -> None:
    """Parseval with the Bessel resistance of a wire (Kelvin 1889)."""
    frequency, rms = 400.0, 700.0
    found = fault_history(wire(), "feed", half_sine(rms, frequency, 0.05))
    turning, half = 2 * math.pi * frequency, 0.5 / frequency

    def density(omega: float) -> float:
        p = np.sqrt(1j * omega * MU0 * SIGMA) * RADIUS
        resistance = (STILL * p / 2 * ive(0, p) / ive(1, p)).real
        apart = turning**2 - omega**2
        gap = half / 2 if abs(apart) < 1e-6 * turning**2 else abs(turning / apart * np.cos(omega * half / 2)) * 2 / 2
        return float(resistance * 2 * rms**2 * 4 * gap**2 / (2 * math.pi))

    exact = 2 * sum(quad(density, a * turning, (a + 2) * turning, limit=200)[0] for a in range(1, 401, 2))
    exact += 2 * quad(density, 1e-3, turning, limit=200)[0]
    assert found.energy[-1, 0] == pytest.approx(exact, rel=2e-5)
    quiet = found.times > 0.5 / frequency
    assert np.abs(found.drive[quiet]).max() < 1e-9 * rms
    assert found.losses[quiet][:, 0].max() > 0  # the eddies go on for a while
    assert found.losses[-1, 0] < 1e-6 * found.losses.max()


def test_a_sine_settles_to_the_steady_state() -> None:
    band = parallel_bars()
    found = fault_history(band, "feed", offset(100.0, 50.0, 1.0, 0.2, angle=0.0))
    period = np.searchsorted(found.times, [0.18 - 1e-9, 0.2 - 1e-9])
    assert found.times[period] == pytest.approx([0.18, 0.2])
    spent = found.energy[period[1]] - found.energy[period[0]]
    steady = band.at([50.0])
    np.testing.assert_allclose(spent, 0.02 * 1e4 * steady.fine.losses[0], rtol=1e-4)
    share = steady.fine.currents[0]
    last = slice(period[0], period[1])
    top = np.abs(found.currents[last]).max(axis=0)
    np.testing.assert_allclose(top, 100 * math.sqrt(2) * np.abs(share), rtol=1e-3)
    mean = np.trapezoid(found.force[last], found.times[last], axis=0) / 0.02
    np.testing.assert_allclose(mean, 1e4 * steady.fine.force[0], atol=5e-3 * np.abs(steady.fine.force[0] * 1e4).max())


def test_energy_is_kept() -> None:
    """What the terminals give is heat and magnetic energy; heat region by region, the rest from the Foster form."""
    band = parallel_bars()
    found = fault_history(band, "feed", offset(1000.0, 50.0, 0.03, 0.08))
    nodes, weights = np.polynomial.legendre.leggauss(5)
    length = np.diff(found.times)
    inner = found.transient.at((found.times[:-1, None] + 0.5 * (1 + nodes) * length[:, None]).ravel())
    given = (inner.voltages * inner.drive).sum(axis=1) @ (0.5 * weights * length[:, None]).ravel()
    stored = found.transient.at(found.times[[-1]]).stored[0]
    assert given == pytest.approx(found.energy[-1].sum() + stored, rel=1e-9)
    np.testing.assert_allclose(found.currents[:, :2].sum(axis=1), found.drive[:, 0], atol=1e-9 * 2828)
    np.testing.assert_allclose(found.currents[:, 2], -found.drive[:, 0], atol=1e-9 * 2828)


def test_after_a_step_the_sharing_goes_from_inductance_to_conductance() -> None:
    found = fault_history(parallel_bars(), "feed", step(1000.0, 1.0))
    rest = np.array([SIGMA, 34.8e6]) / (SIGMA + 34.8e6) * 1000
    np.testing.assert_allclose(found.currents[-1, :2], rest, rtol=1e-6)
    early = found.currents[np.searchsorted(found.times, 1e-5), :2]
    assert early[1] > 1.5 * early[0]  # the lighter metal is nearer to the return
    conductance = 0.006 * 0.03 * np.array([SIGMA, 34.8e6])
    np.testing.assert_allclose(found.losses[-1, :2], rest**2 / conductance, rtol=1e-6)


def test_forces_of_thin_rods_are_those_of_filaments() -> None:
    found = fault_history(phases(), ["A", "C"], [step(1000.0, 0.2), step(-1000.0, 0.2)])
    np.testing.assert_allclose(found.force[-1, 0], [-MU0 / (2 * math.pi) * 1e6 / 0.2, 0], atol=found.force_error)
    np.testing.assert_allclose(found.force[-1].sum(axis=0), 0, atol=2 * found.force_error)


def test_a_three_phase_fault_pushes_the_middle_rod_as_the_standard_says() -> None:
    """IEC 60865-1: mu0 / (2 pi) sqrt(3) / 2 i_p^2 / a on the middle one, i_p with the largest offset; worst instant."""
    worst, rms, constant = 0.0, 1000.0, 10.0
    for degrees in range(0, 180, 15):
        angle = math.radians(degrees)
        waves = [offset(rms, 50.0, constant, 0.02, angle=angle - 2 * math.pi / 3 * k) for k in range(3)]
        found: FaultHistory = fault_history(phases(), ["A", "B", "C"], waves)
        assert np.abs(found.drive.sum(axis=1)).max() < 1e-9 * rms
        worst = max(worst, float(np.abs(found.force[:, 1, 0]).max()))
    peak = float(offset(rms, 50.0, constant, 0.02).current(np.linspace(0, 0.02, 2001)).max())
    assert worst == pytest.approx(MU0 / (2 * math.pi) * math.sqrt(3) / 2 * peak**2 / 0.1, rel=5e-3)


def test_a_sweep_by_conductors_serves_as_well() -> None:
    mine = parallel_bars()
    other = sweep(mine.problem, [1.0, 1e4], matrix=True)
    one, two = (fault_history(band, "feed", half_sine(1e3, 50.0, 0.02)) for band in (mine, other))
    np.testing.assert_allclose(one.energy[-1], two.energy[-1], rtol=2 * mine.wanted)


def test_hot_spots() -> None:
    found = fault_history(wire(), "feed", step(1000.0, 0.5))
    crowding, place = found.hot_spots
    assert 1 < crowding[0] < 1.01
    assert np.hypot(*place[0]) == pytest.approx(RADIUS)
    brief = fault_history(wire(), "feed", half_sine(1000.0, 5e3, 5e-4))
    assert brief.hot_spots[0][0] > 3


def test_what_cannot_be_followed_says_so() -> None:
    with pytest.raises(SweepError, match='circuits among feed, found "pad"'):
        fault_history(wire(), "pad", step(1.0, 1.0))
    with pytest.raises(SweepError, match="5000 periods: expected 1000 at most"):
        fault_history(wire(), "feed", half_sine(1.0, 5e3, 1.0))
