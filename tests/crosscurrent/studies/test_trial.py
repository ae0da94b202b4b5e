"""One design: its figures against those of a run, its slopes against exact ones, its faults as rows."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
from study_cases import ROD, written

from crosscurrent.studies.plan import Question
from crosscurrent.studies.trial import Trial, serves, tried

QUESTION = Question(("resistance",), 0.0, "feed")
LIMITS = '[prices]\ncopper = "9 EUR/kg"\n[limits]\nloss = "1 W/m"\nmass = "3 kg/m"\n'


def test_a_rod_by_hand(tmp_path: Path) -> None:
    found = tried(Trial(written(tmp_path, ROD + LIMITS), {"size": 0.02}, QUESTION, ("size",)))
    area = math.pi * 0.01**2
    resistance = 1 / (58e6 * area)
    assert found.figures["resistance_ohm_per_m"] == pytest.approx(resistance, rel=1e-6)
    assert found.slopes["resistance_ohm_per_m"]["size"] == pytest.approx(-2 * resistance / 0.02, rel=1e-4)
    assert found.figures["mass_kg_per_m"] == pytest.approx(8890 * area, rel=0.01)
    assert found.slopes["mass_kg_per_m"]["size"] == pytest.approx(2 * found.figures["mass_kg_per_m"] / 0.02, rel=1e-6)
    assert found.slopes["cost_per_m"]["size"] == pytest.approx(9 * found.slopes["mass_kg_per_m"]["size"])
    assert found.margins["loss"] == pytest.approx(resistance * 1e4 - 1, abs=1e-3)
    assert found.slopes["margin loss"]["size"] == pytest.approx(-2e4 * resistance / 0.02, rel=1e-4)
    assert found.verdict == "pass"


def test_a_design_is_judged_at_the_frequency_that_it_has(tmp_path: Path) -> None:
    """In a thick rod R goes with the root of the frequency: dR / df = R / (2 f), about."""
    text = ROD.replace('at = ["0 Hz"]', 'at = ["hertz"]').replace("[named]", '[named]\nhertz = "1 kHz"')
    case = written(tmp_path, text)
    asked = Question(("resistance",), 1e3, "feed")
    one, more = (tried(Trial(case, {"hertz": f, "size": 0.03}, asked, ("hertz",))) for f in (200e3, 202e3))
    assert not one.fault
    here, above = (found.figures["resistance_ohm_per_m"] for found in (one, more))
    depth = (math.pi * 200e3 * 4e-7 * math.pi * 58e6) ** -0.5
    assert here == pytest.approx(1 / (58e6 * math.pi * 0.03 * depth), rel=0.01)
    slope = one.slopes["resistance_ohm_per_m"]["hertz"]
    assert slope == pytest.approx((above - here) / 2e3, rel=0.01)
    assert slope == pytest.approx(here / 400e3, rel=0.01)


PAIR = """
[frequency]
at = ["0 Hz"]
[named]
apart = "60 mm"
[[conductor]]
name = "a"
shape = "round"
diameter = "10 mm"
material = "copper"
[[conductor]]
name = "b"
shape = "round"
diameter = "10 mm"
material = "copper"
centre = ["apart", "0 mm"]
[[circuit]]
name = "feed"
current = "1 kA"
out = ["a"]
back = ["b"]
[limits]
force = "5 N/m"
"""


LOSSY, SATURATING = "permeability = 20\npermeability_loss = 2", 'initial_permeability = 50\nsaturation = "2 T"'


@pytest.mark.parametrize(("metal", "told"), [(LOSSY, True), (SATURATING, False)])
def test_sections_without_slopes_are_designs_too(tmp_path: Path, metal: str, told: bool) -> None:
    """Of saturating metal: a search then takes differences of its solves. Lossy metal has slopes."""
    text = PAIR.replace('"0 Hz"', '"50 Hz"').replace('material = "copper"', 'material = "own"', 1)
    own = f'[material.own]\nconductivity = "5 MS/m"\n{metal}\n'
    case = written(tmp_path, text + own)
    found = tried(Trial(case, {"apart": 0.05}, Question(("loss",), 50.0, "feed"), ("apart",)))
    assert (found.fault, found.verdict) == ("", "fail")
    assert found.figures["loss_w_per_m"] > 1e6 / (58e6 * math.pi * 0.005**2)
    assert ("loss_w_per_m" in found.slopes) == told


def test_a_bundle_has_slopes_over_its_strands(tmp_path: Path) -> None:
    """R of direct current goes with 1 / strand_diameter^2."""
    lead = 'shape = "bundle"\nstrands = 200\nstrand_diameter = "fine"\nouter_diameter = "10 mm"\ntake_up = 1.02'
    text = PAIR.replace('shape = "round"\ndiameter = "10 mm"', lead).replace("[named]", '[named]\nfine = "0.4 mm"')
    found = tried(Trial(written(tmp_path, text), {"fine": 5e-4}, Question(("loss",), 0.0, "feed"), ("fine",)))
    resistance = 2 * 1.02 / (58e6 * 200 * math.pi / 4 * 5e-4**2)
    assert found.figures["resistance_ohm_per_m"] == pytest.approx(resistance, rel=1e-6)
    assert found.slopes["resistance_ohm_per_m"]["fine"] == pytest.approx(-2 * resistance / 5e-4, rel=1e-5)


def test_a_force_has_its_slope_where_it_is_wanted_or_limited(tmp_path: Path) -> None:
    """Two round wires of direct current: F = mu0 I^2 / (2 pi d)."""
    wanted = Question(("force",), 0.0, "feed")
    found = tried(Trial(written(tmp_path, PAIR), {"apart": 0.05}, wanted, ("apart",)))
    force = 2e-7 * 1e6 / 0.05
    assert found.figures["force_n_per_m"] == pytest.approx(force, rel=1e-6)
    assert found.slopes["force_n_per_m"]["apart"] == pytest.approx(-force / 0.05, rel=1e-5)
    assert found.slopes["margin force"]["apart"] == pytest.approx(-force / 0.05 / 5, rel=1e-5)


def test_a_limit_that_is_broken(tmp_path: Path) -> None:
    found = tried(Trial(written(tmp_path, ROD + LIMITS), {"size": 0.01}, QUESTION))
    assert (found.verdict, found.margins["loss"] > 1, dict(found.slopes)) == ("fail", True, {})


@pytest.mark.parametrize(
    ("values", "words"),
    [({"size": 500.0}, "from 10 nm to 100 m"), ({"metal": "coper"}, 'did you mean "copper"'), ({"siz": 1.0}, "size")],
)
def test_what_cannot_be_solved_is_a_row_with_its_fault(tmp_path: Path, values: dict[str, float], words: str) -> None:
    found = tried(Trial(written(tmp_path, ROD), values, QUESTION))
    assert words in found.fault
    assert (dict(found.figures), dict(found.values)) == ({}, values)


def test_a_key_for_every_design(tmp_path: Path) -> None:
    case, other = written(tmp_path, ROD), written(tmp_path, ROD.replace("100 A", "90 A"))
    keys = {
        Trial(case, {"size": 0.02}, QUESTION).key,
        Trial(case, {"size": 0.03}, QUESTION).key,
        Trial(other, {"size": 0.02}, QUESTION).key,
    }
    assert len(keys) == 3
    varied = written(tmp_path, f'{ROD}\n[[vary]]\nname = "size"\nvalues = ["1 mm"]\n')
    assert Trial(varied, {"size": 0.02}, QUESTION).key in keys


def test_a_design_serves_a_trial_that_wants_slopes_if_it_has_them(tmp_path: Path) -> None:
    case = written(tmp_path, ROD)
    plain, sloped = Trial(case, {"size": 0.02}, QUESTION), Trial(case, {"size": 0.02}, QUESTION, ("size",))
    assert [[serves(tried(one), two) for two in (plain, sloped)] for one in (plain, sloped)] == [
        [True, False],
        [True, True],
    ]
