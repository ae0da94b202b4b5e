"""The causes of a measured difference, asked of a case."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from crosscurrent.api import case, circuit, conductor
from crosscurrent.casefile.reader import read_case
from crosscurrent.solver.meter.diagnosis import Diagnosis
from crosscurrent.topics.diagnosis import MOST, diagnosed, weighed
from crosscurrent.topics.measured import answered, chapter_of, from_frame, run_of

SHIPPED = Path(__file__).parents[3] / "cases" / "feed-measured.toml"
F = np.geomspace(100, 1e5, 8)
OMEGA, MU0 = 2 * np.pi * F, 4e-7 * np.pi
METER = {"accuracy": {"impedance": "0.1 %", "floor": "2 uohm"}}


def read_with(one, r, h):
    """The diagnosis of what is calculated, with a resistance and an inductance beside it."""
    titles = ["f [Hz]", "Rs [ohm]", "Ls [H]"]
    known = answered(one, from_frame(one, titles, np.column_stack((F, 0 * F + 1, 0 * F + 1)))).overlay.calculated
    noise = 1 + 1e-4 * np.random.default_rng(18).normal(size=(2, len(F)))
    shown = np.column_stack((F, noise[0] * (known.impedance.real + r), noise[1] * (known.inductance + h)))
    return chapter_of(one, from_frame(one, titles, shown)).record["diagnosis"]


def amounts_of(found):
    assert found["verdict"] == "named"
    return {one["key"]: (one["value"], one["standard_uncertainty"]) for one in found["explanations"][0]["causes"]}


def test_joints_and_leads_of_a_ring_round_the_axis():
    ring = conductor("turn", "round", material="copper", diameter="6 mm", centre=["30 mm", "0 mm"])
    one = case("ring", ring, circuit("coil", "1 A", out=["turn"]), symmetry="axial", at=["10 kHz"], measured=METER)
    found = amounts_of(read_with(one, 1e-4, 2e-8))
    assert set(found) == {"contact", "leads"}
    assert abs(found["contact"][0] - 1e-4) < 2 * found["contact"][1] < 1e-5
    assert abs(found["leads"][0] - 2e-8) < 2 * found["leads"][1] < 2e-9


def test_a_narrower_gap_between_two_bundles():
    """Strands that share the current evenly: L of two lines, mu0 l / pi ln(distance / mean distance) (handbooks)."""
    parts = [conductor(name, "bundle", material="copper", strands=91, strand_diameter="0.3 mm", **place)
             for name, place in (("out", {"centre": ["0 mm", "0 mm"]}),
                                 ("back", {"place": {"below": "out", "gap": "6 mm"}}))]  # fmt: skip
    one = case("pair", parts, circuit("feed", "1 A", out=["out"], back=["back"]), length="3 m", at=["10 kHz"],
               measured=METER)  # fmt: skip
    outer = one.problem().conductors[0].part.bounds
    across = 6e-3 + float(outer[1][1] - outer[0][1])
    found = amounts_of(read_with(one, 0.0, 3 * MU0 / np.pi * np.log(1 - 1e-3 / across)))
    ((key, (value, error)),) = found.items()
    assert key.endswith("gap")
    assert value == pytest.approx(5e-3, abs=2 * error)
    assert error < 5e-5


def test_few_frequencies_are_not_enough():
    case = read_case(SHIPPED)
    answer = answered(case, run_of(case))
    few = answer.overlay.reading
    short = {k: v[:4] if isinstance(v, np.ndarray) else v for k, v in vars(few).items()}
    said = diagnosed(case, replace(answer, overlay=replace(answer.overlay, reading=type(few)(**short))))
    assert said == "causes of the difference: expected 6 frequencies or more, found 4"
    assert not isinstance(said, Diagnosis)


def test_long_readings_are_thinned_between_their_ends():
    case = read_case(SHIPPED)
    one = run_of(case).reading
    many = type(one)(**{k: np.resize(v, 500) if isinstance(v, np.ndarray) else v for k, v in vars(one).items()})
    many = replace(many, frequencies=np.geomspace(1e2, 1e5, 500))
    found = weighed(many)
    assert len(found.frequencies) == MOST
    assert found.frequencies[[0, -1]] == pytest.approx([1e2, 1e5])
    assert weighed(one) is one
