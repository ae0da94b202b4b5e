"""Which further measurement tells two explanations apart."""

from __future__ import annotations

import numpy as np
import pytest

from crosscurrent.solver.meter.causes import Parameter, PhysicalCause, contact
from crosscurrent.solver.meter.fit import Fit, applied
from crosscurrent.solver.meter.reading import MeterReading
from crosscurrent.solver.meter.separate import Bench, separation
from crosscurrent.solver.meter.uncertainty import Uncertainty

EVERY = np.geomspace(1e2, 1e7, 51)
INSIDE = (EVERY >= 1e4) & (EVERY <= 1e5)
F = EVERY[INSIDE]
Z = 1e-2 * np.sqrt(EVERY / 1e4) + 2j * np.pi * EVERY * 1e-6
N = len(F)
METAL = PhysicalCause("sigma", "conductivity", "section", (Parameter("sigma", "", 0.1, -1, 1, (0.0,)),),
              lambda z, p: z.real * np.exp(-p[0] / 2) + 1j * z.imag)  # fmt: skip
DEGREES = Parameter("temperature", "degC", 15, -80, 200, (0.0,))
WARMING = PhysicalCause("temperature", "temperature", "section", (DEGREES,),
                lambda z, p: z.real * (1 + 0.004 * p[0]) + 1j * z.imag)  # fmt: skip


def bench(gain=1e-3, every=EVERY):
    one, z = np.ones(N), Z[INSIDE]
    reading = MeterReading(frequencies=F, resistance=z.real, reactance=z.imag, gain=gain * one, angle=0 * one,
                           floor=0 * one, noise_resistance=1e-7 * one, noise_reactance=1e-7 * one,
                           ranges=one.astype(int), length=2.0)  # fmt: skip
    return Bench(reading, every, WARMING)


def fit(cause, value, z=Z):
    values = np.array([value])
    loose = Uncertainty(np.zeros((2 * N, 2 * N)), np.ones(2 * N), np.eye(N))
    return Fit((cause,), z, values, applied([cause], values, z), np.zeros(2 * N), np.zeros((2 * N, 1)), loose)


def test_a_joint_and_a_poorer_metal_part_at_low_frequency():
    """Equal at 30 kHz: the joint stays, the metal's part falls with the root of frequency."""
    joint, metal = fit(contact(1e-3, 1e-1), 1e-3), fit(METAL, -2 * np.log(1 + 1e-3 / (1e-2 * np.sqrt(3))))
    found = separation(bench(), joint, metal)
    assert found.kind == "lower frequency"
    assert found.quantity == "R"
    assert found.at <= F[0]
    assert found.apart >= 4


def test_a_longer_run_where_no_frequency_is_left():
    joint, metal = (fit(c, v, Z[INSIDE]) for c, v in ((contact(1e-3, 1e-1), 1e-3), (METAL, -0.1)))
    found = separation(bench(every=F), joint, metal)
    assert found.kind == "longer run"
    assert found.at == pytest.approx(8.0)


def test_nothing_tells_equal_curves_apart():
    joint = fit(contact(1e-3, 1e-1), 1e-3)
    assert separation(bench(), joint, joint) is None
