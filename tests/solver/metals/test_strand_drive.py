"""Straight strands in a foreign field, all solved for: against a dense network of thin wires, and turned about."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from crosscurrent.solver.metals.depth import MU0
from crosscurrent.solver.metals.strand_drive import HARMONICS, StrandAnswers, strand_drive
from crosscurrent.solver.metals.strand_layout import Layout, strand_places
from crosscurrent.solver.metals.strand_network import pitch_over_radius
from crosscurrent.solver.metals.strands import Strands

SIZE, SIGMA = 1e-4, 58e6


def trace_of_a_line(answers: StrandAnswers, at: complex) -> np.ndarray:
    """Harmonics of E on the outline if 1 A flows in a line at a place over the radius: -ln |z - at| by its series."""
    order = np.arange(1, HARMONICS + 1)
    first = -answers.turning[:, None] / (2 * order * at**order) / answers.inward
    second = -answers.turning[:, None] / (2 * order * np.conj(at) ** order) / answers.inward
    return np.concatenate((second[:, ::-1], np.zeros((len(first), 1)), first), axis=1)


@pytest.mark.parametrize(("layout", "count"), [("hexagonal", 61), ("square", 38), ("rings", 127)])
def test_thin_wires(layout: Layout, count: int) -> None:
    """At low frequency -mu0 / 2 pi ln d between them (F. W. Grover, Inductance Calculations, from memory)."""
    frequency, pitch, at = np.array([2e4]), 1.2e-4, 2.5 * np.exp(0.3j)
    area = math.pi * (pitch / pitch_over_radius(count, layout)) ** 2
    strands = Strands(count, SIZE, layout, "straight", gathered=True)
    answers = StrandAnswers.of(strands, area, SIGMA, frequency)
    drive = strand_drive(count, layout)
    foreign = answers.foreign(trace_of_a_line(answers, at), strands)[0]
    even, driven = (drive.solved(answers, 0, drives)[:count] for drives in (None, foreign))
    found = driven - even * (driven.sum() / even.sum())
    radius = math.sqrt(area / math.pi)
    places = pitch * strand_places(count, layout) @ [1, 1j]
    apart = np.abs(places[:, None] - places) + SIZE / 2 * math.exp(-0.25) * np.eye(count)
    turning = 1j * frequency[0] * MU0
    resistive = np.eye(count) / (SIGMA * math.pi * SIZE**2 / 4)
    drives = np.column_stack((np.ones(count), turning * np.log(abs(places - radius * at))))
    both = np.linalg.solve(resistive - turning * np.log(apart), drives)
    wires = both[:, 1] - both[:, 0] * (both[:, 1].sum() / both[:, 0].sum())
    assert np.abs(found - wires).max() < 2e-3 * np.abs(wires).max()


def test_turned_and_mirrored_strands_see_the_field_from_their_own_axes() -> None:
    """A field turned with the strands, or mirrored with them, drives the same currents."""
    strands = Strands(38, SIZE, "square", "straight", gathered=True)
    answers = StrandAnswers.of(strands, 38 * 1.44e-8, SIGMA, np.array([1e5]))
    still = answers.foreign(trace_of_a_line(answers, 1.6 + 0.4j), strands)
    turned = answers.foreign(trace_of_a_line(answers, (1.6 + 0.4j) * np.exp(0.7j)), replace(strands, turn=0.7))
    both = replace(strands, turn=0.7, mirrored=True)
    mirrored = answers.foreign(trace_of_a_line(answers, (1.6 - 0.4j) * np.exp(0.7j)), both)
    assert turned == pytest.approx(still)
    assert mirrored == pytest.approx(still)
