"""Words of a waveform: shares of harmonics, what a sine would cost, what was left out."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from topic_answers import wire

from crosscurrent.postprocess.topics.waveform import (
    WaveformAnswer,
    by_conductor,
    by_harmonic,
    record,
    sentences,
    warnings,
)
from crosscurrent.solver.field.problem import Bound, Circuit, Problem
from crosscurrent.solver.time.harmonics import HarmonicLoss
from crosscurrent.solver.time.spectrum import Spectrum


def answer(rest: float = 0.0) -> WaveformAnswer:
    """40 A of the first harmonic lose 16 W/m, 30 A of the third 27 W/m: 1 % and 3 % of an ohm."""
    spectrum = Spectrum(np.array([50.0, 150.0]), np.array([40.0 + 0j, 30.0 + 0j]))
    each = spectrum.phasors[:, None]
    open_ = np.array([[0.1], [0.2]])
    loss = HarmonicLoss(spectrum, 1, np.array([[16.0], [27.0]]), open_, rest, each, open_)
    return WaveformAnswer(Problem((wire("rod"),), (Circuit("feed", 1.0, ("rod",)),)), ("feed",), 2.0, loss)


def test_the_sum_and_the_sine() -> None:
    """A sine of 50 A rms at 50 Hz would lose 25 W/m."""
    found = answer()
    assert found.sine == pytest.approx(25)
    assert record(found)["loss_w_per_m"] == pytest.approx(43)
    assert record(found)["total_loss_w"] == pytest.approx(86)
    assert record(found)["resistance_ohm_per_m"] == pytest.approx(43 / 2500)
    assert any(said.startswith("that is 1.72 times a sine") for said in sentences(found))
    assert [row[2] for row in by_harmonic(found).rows] == ["80 %", "60 %"]


def test_what_is_left_out_is_warned_of_where_it_matters() -> None:
    assert not list(warnings(answer(0.4)))
    (said,) = warnings(answer(4.3))
    assert "may cost 10 % more" in said


def test_bars_past_the_wanted_bound_warn() -> None:
    """0.3 of 43 W/m are open: 0.7 %."""
    assert not list(warnings(replace(answer(), wanted=0.01)))
    (said,) = warnings(replace(answer(), wanted=0.001))
    assert said.startswith("the wanted bound of 0.1 % was not reached for the loss of the waveform: 0.7 %")
    strands = replace(answer().loss, of_mesh=np.array([[0.01], [0.02]]))  # their edge is the rest
    assert not list(warnings(replace(answer(), loss=strands, wanted=0.001)))


def test_losses_below_their_bars_are_none() -> None:
    loss = replace(answer().loss, errors=np.array([[0.1], [30.0]]))
    unsure = replace(answer(), loss=loss)
    assert [row[3] for row in by_harmonic(unsure).rows] == ["16.00 W/m", "none"]
    assert [row[5] for row in by_harmonic(unsure).rows] == ["10.00 mohm/m", "none"]
    worse = replace(answer(), loss=replace(loss, errors=np.array([[16.0], [30.0]])))
    assert by_conductor(worse).rows[0][2:] == ("none", "-")
    assert next(sentences(worse)).endswith("of 2 harmonics cost none, a resistance of none")


def test_currents_that_cancel_in_what_circuits_share_are_none() -> None:
    """Go and return of two loops in one bundle of two strands: what rounding leaves is no current."""
    wires = tuple(wire(name) for name in ("a", "b", "n.1", "n.2"))
    strands = Bound("n", ("n.1", "n.2"), "transposed", (0, 0))
    loops = tuple(Circuit(name, 1.0, (name,), strands.members) for name in ("a", "b"))
    phasors = answer().loss.spectrum.phasors[:, None]
    currents = phasors * np.array([1.0, -1.0, 1e-12, -3e-13])
    loss = replace(answer().loss, currents=currents, losses=np.ones((2, 4)), errors=np.full((2, 4), 0.01))
    found = replace(answer(), problem=Problem(wires, loops, bundles=(strands,)), circuits=("a", "b"), loss=loss)
    assert not found.shared["n"].any()
    assert [row[-1] for row in by_harmonic(found).rows] == ["none", "none"]
    assert [(row[0], row[1]) for row in by_conductor(found).rows][2] == ("n", "none")
    assert "the currents of a, b cancel in n, which carries none" in list(sentences(found))
