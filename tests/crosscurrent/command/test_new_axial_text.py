"""The text of a new case round an axis: it passes every check, its turns stand round the billet."""

import os
import tomllib
from itertools import pairwise

import pytest

from crosscurrent.casefile.axial_checks import NOT_ROUND
from crosscurrent.casefile.case import checked_case
from crosscurrent.casefile.faults import CaseError
from crosscurrent.casefile.varied import varied
from crosscurrent.command.app import CommandError
from crosscurrent.command.new import new_text
from crosscurrent.command.new_axial_text import BETWEEN, FURTHER, TURNS, axial_text
from crosscurrent.geometries.plane.neighbours import finished_gap
from crosscurrent.run import solve_case
from crosscurrent.studies.reading import plan_of

SHAPE_NAMES = ["bar", "round", "tube", "box", "angle", "channel", "outline"]


@pytest.mark.parametrize("shape", SHAPE_NAMES)
def test_turns_of_every_shape_stand_round_the_billet(shape):
    case = checked_case(tomllib.loads(new_text([shape], ["axial"], "new.toml")))
    assert case.axial
    assert case.warnings == ()
    (billet, *turns) = case.problem().section.parts
    assert [part.name for part in turns] == [f"turn.{k + 1}" for k in range(TURNS)]
    assert [finished_gap(*pair) for pair in pairwise(turns)] == pytest.approx([BETWEEN / 1e3] * (TURNS - 1))
    low, high = min(part.bounds[0, 1] for part in turns), max(part.bounds[1, 1] for part in turns)
    assert low == pytest.approx(-high)  # about the middle of the billet
    wider = varied(case, {"gap": 0.02}).problem().section.parts
    assert min(p.bounds[0, 0] for p in wider[1:]) - billet.bounds[1, 0] == pytest.approx(0.02)


@pytest.mark.parametrize("word", FURTHER)
def test_everything_a_coil_can_start_with_passes_every_check(word):
    text = new_text([], [word] if word in ("coil", "power", "tank", "heating") else ["axial", word], "new.toml")
    written = tomllib.loads(text)
    assert word in written or word in ("plating", "sweep")
    assert ("plating" in written["conductor"][1]) == (word == "plating")
    assert ("sweep" in written["frequency"]) == (word == "sweep")
    assert not {*NOT_ROUND} & {*written}


STARTS = (
    ("plating", "power", "tank", "water", "report", "pictures"),
    ("voltage", "field", "supports", "heating", "sweep"),
    ("slopes", "tolerance", "fault", "waveform", "ladder", "limits"),
    ("cooling", "duty"),
)


@pytest.mark.parametrize("further", STARTS if os.environ.get("CROSSCURRENT_EXAMPLES") else STARTS[1:3], ids="-".join)
def test_what_a_coil_starts_with_is_answered(further):
    """Everything once, at one frequency and with wide bars."""
    text = axial_text(["tube"], "new.toml", further).replace('"0.1 %"', '"5 %"').replace("points = 40", "points = 3")
    result = solve_case(checked_case(tomllib.loads(text)))
    assert result.circuits["work"].resistance > 0
    told = {"power": "work_pieces", "cooling": "temperature"}
    silent = {"plating", "report", "pictures"}
    keys = {chapter.key for chapter in result.chapters}
    assert {told.get(word, word) for word in further if word not in silent} <= keys


def test_everything_that_a_coil_starts_with_is_run_or_studied():
    assert {word for further in STARTS for word in further} == {*FURTHER} - {"coil", "vary", "study"}
    (gap,) = plan_of(checked_case(tomllib.loads(new_text([], ["axial", "study"], "new.toml")))).ranges
    assert (gap.key, gap.low, gap.high) == ("gap", 0.0005, 0.010)


@pytest.mark.parametrize(
    ("shapes", "further", "said"),
    [
        (["bar", "tube"], ["tank"], "one shape round an axis, that of the turns; found 2"),
        (["tube"], ["axial", "joint"], 'a section round an axis has no "joint"; known: plating, sweep, coil'),
        ([], ["axial", "three-phase"], 'has no "three-phase"'),
    ],
)
def test_words_that_a_coil_cannot_have(shapes, further, said):
    with pytest.raises(CommandError, match="new: ") as error:
        new_text(shapes, further, "new.toml")
    assert said in str(error.value)


def test_words_that_do_not_go_together():
    with pytest.raises(CaseError, match="wanted, power: expected one frequency"):
        new_text([], ["power", "sweep"], "new.toml")
    with pytest.raises(CaseError, match="a conductor with a bore"):
        new_text(["round"], ["axial", "water"], "new.toml")
