"""The first screen goes into the results document and comes back."""

from __future__ import annotations

import json

from made_answers import summary

from crosscurrent.geometries.plane.neighbours import Neighbours
from crosscurrent.postprocess.answers.chapter import CircuitBand
from crosscurrent.postprocess.answers.summary import HoldingCurrent, Hottest, SharedConductor
from crosscurrent.postprocess.files.summary import read_summary, summary_record

FULL = summary(
    verdict="fail",
    verdict_words="the limit fails: loss",
    hottest=Hottest("rod", 81.0, 9.0, "steady, 1 kHz", None),
    holds=(HoldingCurrent(90.0, 0.5, {"feed": 5.0}),),
    runs_away=("rod",),
    shared=(SharedConductor("N", ("a", "b"), 3.0, 1.0),),
    sequences={"positive": 1 + 2j},
    gaps=(Neighbours("rod", "screen", 3e-3, 0.0, True),),
    bands=(CircuitBand("feed", 50.0, 1e-3, 2e-3, "gap"),),
    worst_warning="it is hot",
    warnings=1,
    heating=Hottest("billet", 1200.0, 160.0, "", None),
)


def test_it_comes_back_equal() -> None:
    for one in (summary(), FULL):
        assert read_summary(json.loads(json.dumps(summary_record(one), allow_nan=False))) == one


def test_it_has_the_names_that_others_rely_on() -> None:
    found = summary_record(FULL)
    assert {"verdict", "total_loss_w_per_m", "hottest", "circuits", "gaps", "worst_warning"} <= set(found)
    assert (found["verdict"], found["total_loss_w_per_m"]) == ("fail", 0.1)
    assert found["circuits"][0]["resistance_ohm_per_m"] == 1e-3
    assert found["gaps"][0] == {"one": "rod", "other": "screen", "gap_m": 3e-3, "face_m": 0.0, "around": True}
    assert found["in_words"][0] == "Limits: the limit fails: loss"
