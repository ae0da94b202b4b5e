"""The text of a new case: it passes every check, and its conductors stand apart."""

import re
import tomllib
from itertools import pairwise

import pytest

from crosscurrent.casefile.case import checked_case
from crosscurrent.casefile.faults import CaseError
from crosscurrent.casefile.model import CaseData
from crosscurrent.casefile.reader import read_case
from crosscurrent.casefile.varied import varied
from crosscurrent.command.new import new_text
from crosscurrent.command.new_text import FURTHER, case_text
from crosscurrent.geometries.plane.neighbours import finished_gap
from crosscurrent.run import solve_case
from crosscurrent.studies.reading import plan_of

SHAPE_NAMES = ["bar", "round", "tube", "box", "angle", "channel", "outline"]


@pytest.mark.parametrize("shapes", [[name] for name in SHAPE_NAMES] + [SHAPE_NAMES], ids="-".join)
def test_new_case_passes_every_check(shapes, tmp_path):
    path = tmp_path / "new.toml"
    path.write_text(case_text(shapes, path.name), "utf-8")
    case = read_case(path)
    problem = case.problem()
    assert [part.name for part in problem.section.parts][:2] == ["outgoing", "return"]
    assert len(problem.conductors) == max(2, len(shapes))
    assert case.frequencies == (50, 85e3)
    assert case.warnings == ()


def test_new_conductors_stand_10_mm_apart():
    case = tomllib.loads(case_text(["bar", "tube", "box"], "x.toml"))
    centres = [float(c["centre"][1].split()[0]) for c in case["conductor"]]
    halves = [6 / 2, 12 / 2, 20 / 2]
    gaps = [upper - lower for upper, lower in pairwise(centres)]
    assert gaps == pytest.approx([halves[0] + 10 + halves[1], halves[1] + 10 + halves[2]])
    assert centres[0] + halves[0] == pytest.approx(-(centres[-1] - halves[-1]))


@pytest.mark.parametrize("word", FURTHER)
@pytest.mark.parametrize("phases", [(), ("three-phase",)], ids=["pair", "phases"])
def test_everything_a_case_can_start_with_passes_every_check(word, phases):
    text = new_text(["tube"], [*phases, word], "new.toml")
    written = tomllib.loads(text)
    if word in CaseData.model_fields:
        assert word in written
    assert ("plating" in written["conductor"][0]) == (word == "plating")
    assert ("sweep" in written["frequency"]) == (word == "sweep")
    assert len(written["circuit"]) == (3 if phases or word == "three-phase" else 1)
    if phases:  # no example speaks of the conductors and the circuit of a pair
        assert not re.search(r'"(outgoing|return|feed)["-.]', text)


STARTS = (
    ("plating", "pictures"),
    ("joint", "voltage", "prices", "report", "supports", "slopes", "tolerance", "limits"),
    ("three-phase", "cooling", "duty", "waveform", "ladder", "fault"),
    ("sweep",),
    ("water",),
    ("field", "vary", "study"),
)


@pytest.mark.parametrize("further", STARTS, ids="-".join)
def test_what_a_case_starts_with_runs(further):
    """Everything once, at one frequency and with wide bars."""
    text = case_text(["tube"], "new.toml", further).replace('"0.1 %"', '"5 %"').replace(', "85 kHz"', "")
    result = solve_case(checked_case(tomllib.loads(text.replace("points = 40", "points = 3"))))
    assert all(circuit.loss > 0 for circuit in result.circuits.values())
    assert not any("return outside" in warning for warning in result.warnings)
    assert {CHAPTERS.get(word, word) for word in further if word in CHAPTERED} <= {c.key for c in result.chapters}


CHAPTERS = {"joint": "joints", "prices": "mass", "cooling": "temperature"}  # where they are not named like the table
CHAPTERED = {word for word in FURTHER if word not in ("three-phase", "plating", "report", "pictures", "vary", "study")}


def test_everything_that_a_case_starts_with_is_run():
    assert {word for further in STARTS for word in further} == {*FURTHER}


def test_bars_unless_water_needs_a_bore():
    for further, shape in (((), "bar"), (("water",), "tube")):
        assert tomllib.loads(case_text([], "x.toml", further))["conductor"][0]["shape"] == shape
    with pytest.raises(CaseError, match="a conductor with a bore"):
        new_text(["bar"], ["water"], "x.toml")


@pytest.mark.parametrize("further", [["study"], ["three-phase", "vary"], ["vary", "study"]], ids="-".join)
def test_what_varies_is_said_once_and_is_the_gap_of_all_neighbours(further):
    case = checked_case(tomllib.loads(new_text(["bar"], further, "new.toml")))
    near, far = (varied(case, {"gap": gap}).problem().section for gap in (0.001, 0.010))
    apart = [[finished_gap(upper, lower) for upper, lower in pairwise(s.parts)] for s in (near, far)]
    assert apart == [pytest.approx([gap] * (len(near.parts) - 1)) for gap in (0.001, 0.010)]
    (range_,) = plan_of(case).ranges
    assert (range_.key, range_.low, range_.high) == ("gap", 0.0005, 0.010)
