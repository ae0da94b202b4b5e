"""A wire's currents in time on one coarse model: rest, energy, panels; against direct current and the mode's sums."""

import math

import numpy as np
import pytest
from common import SIGMA, alone, rod

from crosscurrent.solver.band.krylov import SweepError
from crosscurrent.solver.band.sweep import Sweep, sweep
from crosscurrent.solver.time.excitation import half_sine, offset, step
from crosscurrent.solver.time.transient import EARLIEST, LONGEST, PER_PERIOD, Transient

RADIUS, CURRENT = 0.005, 1000.0
RESTING = 1 / (SIGMA * math.pi * RADIUS**2)


@pytest.fixture(scope="module")
def wire() -> Sweep:
    return sweep(alone(rod("wire", 2 * RADIUS), circuit="feed"), [10.0, 1e4])


def test_long_after_a_step_it_is_direct_current(wire: Sweep) -> None:
    late = Transient(wire, (step(CURRENT, 1.0),)).at(np.array([1.0]))
    feed = wire.problem.circuits[0]
    assert late.losses[0, 0] == pytest.approx(CURRENT**2 * RESTING, rel=1e-8)
    assert late.voltages[0, 0] == pytest.approx(CURRENT * RESTING, rel=1e-8)
    assert late.stored[0] == pytest.approx(0.5 * wire.at([0.0, 10.0]).fine.inductance(feed)[0] * CURRENT**2, rel=1e-8)


def test_the_wire_carries_what_is_driven(wire: Sweep) -> None:
    times = np.array([0.0, 1e-4, 3e-3, 0.01])
    wave = offset(CURRENT, 50.0, 0.03, 0.04)
    found = Transient(wire, (wave,)).at(times)
    np.testing.assert_allclose(found.currents[:, 0], wave.current(times), atol=1e-9 * CURRENT)
    np.testing.assert_allclose(found.drive[:, 0], wave.current(times), rtol=1e-14)


def test_power_goes_into_heat_and_the_field(wire: Sweep) -> None:
    """u i = loss + dW/dt, at single moments."""
    moments, close = np.array([2e-3, 7e-3, 0.013]), 1e-7
    found = Transient(wire, (offset(CURRENT, 50.0, 0.03, 0.04),))
    now, before, after = (found.at(moments + shift) for shift in (0.0, -close, close))
    rise = (after.stored - before.stored) / (2 * close)
    given = (now.voltages * now.drive).sum(axis=1)
    np.testing.assert_allclose(given, now.losses.sum(axis=1) + rise, rtol=1e-6, atol=1e-6 * np.abs(given).max())


def test_without_current_nothing_happens(wire: Sweep) -> None:
    quiet = Transient(wire, (step(0.0, 0.1),)).at(np.array([0.05]))
    assert not any(part.any() for part in (quiet.drive, quiet.currents, quiet.losses, quiet.stored, quiet.force))


def test_panels_follow_the_period_and_crowd_after_a_sudden_change(wire: Sweep) -> None:
    found = Transient(wire, (half_sine(CURRENT, 400.0, 0.01),))
    length = np.diff(found.edges)
    assert found.duration == found.edges[-1] == 0.01
    assert found.edges[0] == 0.0
    assert (length > 0).all()
    assert length.max() <= 1 / 400 / PER_PERIOD * (1 + 1e-9)
    assert length.min() <= EARLIEST / wire.fine.model.foster.rates.max() * 1.3
    with pytest.raises(SweepError, match=f"expected {LONGEST} at most; shorten the duration"):
        _ = Transient(wire, (half_sine(CURRENT, 1e4, 1.0),)).edges


def test_a_moment_has_real_values_and_no_skin_left_at_the_end(wire: Sweep) -> None:
    found = Transient(wire, (step(CURRENT, 1.0),))
    samples = found.at(np.array([1e-4, 1.0]))
    flow, d = samples.flow(1), wire.fine.model.discretisation
    metal = np.unique(d.elements.dofs[d.elements.metal])
    assert not flow.electric.imag.any()
    assert flow.currents.tolist() == pytest.approx([CURRENT])
    np.testing.assert_allclose(flow.electric[metal].real, CURRENT * RESTING, rtol=1e-6)
    heat = samples.heating(np.array([0.0, 2.0]))
    inside = np.unique(d.mesh.triangles[d.mesh.region == 0])
    np.testing.assert_allclose(heat[inside], 2.0 * SIGMA * (CURRENT * RESTING) ** 2, rtol=1e-6)
    assert not np.delete(heat, inside).any()
