"""Currents of straight strands over a band: against multipoles of all strands, and against each frequency by itself."""

from __future__ import annotations

import math

import numpy as np
import pytest

from crosscurrent.solver.metals.depth import MU0
from crosscurrent.solver.metals.strand_currents import StrandPatterns
from crosscurrent.solver.metals.strand_drive import HARMONICS, StrandAnswers
from crosscurrent.solver.metals.strand_layout import Layout, strand_places
from crosscurrent.solver.metals.strand_network import pitch_over_radius
from crosscurrent.solver.metals.strands import Strands
from tests.multipoles import impedance
from tests.solver.metals.test_strand_drive import trace_of_a_line

SIZE, SIGMA = 1e-4, 58e6


def at_depths(*depths: float) -> np.ndarray:
    """Frequencies at which the radius of a strand is so many skin depths [Hz]."""
    return (2 * np.array(depths) / SIZE) ** 2 / (math.pi * MU0 * SIGMA)


@pytest.mark.parametrize(
    ("layout", "count"),
    [("hexagonal", 38), ("hexagonal", 73), ("hexagonal", 127), ("square", 61), ("square", 91), ("rings", 91)],
)
def test_alone_each_strand_as_by_multipoles(layout: Layout, count: int) -> None:
    pitch, frequency = 1.1e-4, at_depths(0.2, 0.8, 1.4)
    strands = Strands(count, SIZE, layout, "straight", gathered=True)
    area = math.pi * (pitch / pitch_over_radius(count, layout)) ** 2
    nothing, one = np.zeros((3, 2 * HARMONICS + 1), dtype=complex), np.ones(3, dtype=complex)
    found = StrandPatterns.sampled(strands, area, SIGMA, frequency, nothing).read(frequency, nothing, one)
    assert found.each == pytest.approx(found.alone, abs=1e-9)
    places = pitch * strand_places(count, layout) @ [1, 1j]
    for each, at, near in zip(found.each, frequency, (1e-5, 1e-3, 6e-3), strict=True):
        exact = np.linalg.solve(impedance(places, [[k] for k in range(count)], SIZE, SIGMA, at), np.ones(count))
        exact /= exact.sum()
        assert each.sum() == pytest.approx(1.0)
        assert np.abs(each - exact).max() < near * np.abs(exact).max()


def test_a_sample_holds_every_frequency_between() -> None:
    frequency = np.geomspace(1e2, 2e6, 60)
    strands = Strands(91, SIZE, lay="straight", gathered=True)
    area = 91 * 1.1e-8
    trace = trace_of_a_line(StrandAnswers.of(strands, area, SIGMA, frequency), 1.4 + 0.3j)
    total = np.ones(60, dtype=complex)
    found = StrandPatterns.sampled(strands, area, SIGMA, frequency, trace).read(frequency, trace, total)
    assert found.each.sum(axis=1) == pytest.approx(total)
    for k in (3, 26, 41, 57):
        at, own = frequency[[k]], trace[[k]]
        single = StrandPatterns.sampled(strands, area, SIGMA, at, own).read(at, own, total[:1])
        assert np.abs(found.each[k] - single.each[0]).max() < 1e-4 * np.abs(single.each).max()
        assert np.abs(found.slope[k] - single.slope[0]).max() < 3e-4 * np.abs(single.slope).max()
