"""What is read off the histories of a fault: the worst of them, and the integral of i^2."""

from types import SimpleNamespace

import numpy as np
import pytest

from crosscurrent.solver.time.excitation import half_sine
from crosscurrent.solver.time.fault import FaultCourse


def history(force, drive=None, times=None):
    """One conductor, pushed sideways."""
    count = len(force)
    times = np.linspace(0, 1, count) if times is None else times
    drive = np.zeros((count, 1)) if drive is None else drive(times)
    now = SimpleNamespace(at=lambda t: SimpleNamespace(drive=np.interp(t, times, drive[:, 0])[:, None]))
    pushed = np.zeros((count, 1, 2))
    pushed[:, 0, 0] = force
    energy, resolved = np.cumsum(np.ones((count, 1)), axis=0), np.ones(count, bool)
    return SimpleNamespace(
        force=pushed, drive=drive, currents=drive, times=times, transient=now, energy=energy, resolved=resolved
    )


def test_the_worst_history_is_that_of_the_largest_force():
    found = FaultCourse(("feed",), (history([0, 3, -2]), history([0, -7, 1])), (0.1, 0.2), 50.0, None)
    assert found.worst_angle == 0.2
    assert found.peak_force == pytest.approx([7.0])
    assert found.energy == pytest.approx([3.0])


def test_the_integral_of_a_half_wave():
    """I^2 t of a half-wave: rms squared times its time."""
    pulse, times = half_sine(100.0, 50.0, 0.01), np.linspace(0, 0.01, 401)
    one = history(np.zeros(401), lambda t: pulse.current(t)[:, None], times)
    one.transient = SimpleNamespace(at=lambda t: SimpleNamespace(drive=pulse.current(t)[:, None]))
    assert FaultCourse(("feed",), (one,), (0.0,), 50.0, None).joule_integral == pytest.approx([100.0], rel=1e-6)
