"""Runs on the bench with hidden causes: exact coaxial lines, and sections solved as what really lies there.

A hundred of them are counted by `tests/benchmarks/benches.py`.
"""

from __future__ import annotations

import os
from dataclasses import replace

import numpy as np
import pytest
from meter_benches import COPPER, SETS, HiddenBench, drawn, impedance, kinds, known, made, outcome, within

from crosscurrent.solver.meter.diagnose import diagnose

RODS, COAX, SILVERED, HAND_COAX = 1, 2, 3, 4
HIDDEN = [
    {"contact": 3e-4}, {"rod": 0.0052, "contact": 3e-4}, {"bore": 0.01136, "contact": 7e-3}, {}, {"bore": 0.0125},
    {"leads": 6e-8}, {"capacitance": 2e-11},
    {"copper.conductivity": 0.85 * COPPER}, {"scale": 1.04},
]  # fmt: skip
MANY = bool(os.environ.get("CROSSCURRENT_EXAMPLES"))  # takes all rows in place of some; benchmarks/benches.py a hundred


def told(number, hidden, seed=18):
    bench = made(number, hidden, np.random.default_rng(seed))
    return bench, diagnose(bench.reading, known(number)[2])


@pytest.mark.parametrize("hidden", HIDDEN if MANY else HIDDEN[:4])
def test_causes_hidden_in_an_exact_coaxial_run_are_named(hidden):
    bench, found = told(COAX, hidden)
    assert outcome(bench, found) == "right"
    assert all(within(bench, found))


@pytest.mark.parametrize("hidden", [{"gap": 0.0064}, *([{"steel": 0.01}] if MANY else [])])
def test_causes_hidden_in_another_section_are_named(hidden):
    bench, found = told(RODS, hidden)
    assert outcome(bench, found) == "right"
    assert all(within(bench, found))


def test_a_poor_meter_leaves_several_and_what_would_tell():
    bench, found = told(HAND_COAX, {"bore": 0.0124})
    assert found.verdict in ("named", "undecided")
    assert {"bore"} in [set(e.keys) for e in found.explanations]
    assert sum(e.weight for e in found.explanations) == pytest.approx(1, abs=0.1)
    if found.verdict == "undecided":
        assert found.separation is None or found.separation.apart > 3
    assert outcome(bench, found) != "wrong"


def test_what_no_cause_explains_is_said():
    bench = made(HAND_COAX, {}, np.random.default_rng(1))
    rough = bench.reading.resistance * (1 + 0.2 * np.sin(3 * np.log(bench.reading.frequencies)))
    found = diagnose(replace(bench.reading, resistance=rough), known(HAND_COAX)[2])
    assert found.verdict == "none"
    assert found.certain == frozenset()
    assert found.explanations[0].chance < 1e-3


def test_no_cause_fits_only_where_none_does_with_an_open_scatter():
    """A clean run whose rows were taken for a fifth of their scatter, at one end of the band or at both."""
    bench = made(COAX, {}, np.random.default_rng(4))
    r = bench.reading
    noise = {"noise_resistance": r.noise_resistance / 5, "noise_reactance": r.noise_reactance / 5}
    low = replace(r, **noise, noise_freedom=20.5)
    assert diagnose(low, known(COAX)[2]).verdict == "none"
    open_ = replace(low, noise_open=np.concatenate((r.noise_resistance, r.noise_reactance)))
    assert diagnose(open_, known(COAX)[2]).verdict == "within"


@pytest.mark.skipif(not MANY, reason="rough surfaces are solved frequency by frequency: a minute")
def test_roughness_on_a_coat_of_another_thickness_is_found():
    """Without noise: the model of the roughness has to know the coat that is there, which is a third of the skin."""
    hidden = {"silver-coat": 10e-6, "roughness": 12e-6}
    z, (_, meter, length) = impedance(SILVERED, hidden), SETS[SILVERED]
    reading = meter.showing(z, length, meter.noise * np.abs(z) + 0.1 * meter.floor)
    found = diagnose(reading, known(SILVERED)[2])
    assert outcome(HiddenBench(SILVERED, hidden, reading), found) == "right"
    for one in found.explanations[0].causes:
        assert abs(one.amount.value - hidden[one.key]) < 0.2 * one.amount.error


def test_every_kind_of_cause_can_be_drawn():
    for number in range(len(SETS)):
        assert len(set(kinds(number))) >= 6
    assert drawn(COAX, np.random.default_rng(4)).reading.frequencies[0] == pytest.approx(20)
