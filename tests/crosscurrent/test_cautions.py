"""Every caution stands with the answers it belongs to, and with no others."""

from __future__ import annotations

from typing import Any

import pytest

from crosscurrent.casefile.case import checked_case
from crosscurrent.postprocess.answers.cautions import ALWAYS, FAULT, HOT, JOINTS, RESONANCE, SCATTER, VOLTAGE, WATER
from crosscurrent.postprocess.answers.cautions import FIELD as EXPOSURE
from crosscurrent.postprocess.answers.chapter import Measured
from crosscurrent.postprocess.answers.metal_limits import burning
from crosscurrent.postprocess.topics.supports import CAUTIONS as SUPPORTS
from crosscurrent.run import solve_case

PLAIN: dict[str, Any] = {
    "length": "2 m",
    "frequency": {"at": ["50 Hz"]},
    "conductor": [
        {
            "name": name, "shape": "tube", "diameter": "16 mm", "wall": "1.5 mm", "centre": [x, "0 mm"],
            "material": "copper",
        }
        for name, x in (("go", "-20 mm"), ("back", "20 mm"))
    ],
    "circuit": [{"name": "feed", "current": "60 A", "out": ["go"], "back": ["back"]}],
}  # fmt: skip
QUESTIONS: dict[str, Any] = {
    "cooling": {},
    "field": {},
    "supports": {},
    "voltage": {},
    "joint": [{"name": "flange", "circuit": "feed", "resistance": "3 uohm"}],
    "fault": {"current": "1 kA", "frequency": "50 Hz", "x_over_r": 5, "duration": "20 ms"},
    "prices": {},
    "limits": {},
}
OWN = {
    "cooling": (HOT, SCATTER),
    "field": (EXPOSURE,),
    "supports": SUPPORTS,
    "voltage": (VOLTAGE,),
    "joint": (JOINTS,),
    "fault": FAULT,
    "prices": (),
    "limits": (),
}


def cautioned(**questions: Any) -> list[str]:
    return list(solve_case(checked_case(PLAIN | questions)).heading.cautions)


def test_a_plain_case_at_mains_frequency_carries_the_general_ones_alone() -> None:
    assert cautioned() == list(ALWAYS)


def test_every_question_brings_its_own() -> None:
    expected = {*ALWAYS, *(text for texts in OWN.values() for text in texts)}
    found = cautioned(**QUESTIONS)
    assert len(found) == len(set(found))
    assert set(found) == expected
    assert not {RESONANCE, *WATER} & set(found)  # no capacitor below 1 kHz, no water


def test_one_question_brings_no_other() -> None:
    assert cautioned(joint=QUESTIONS["joint"]) == [*ALWAYS, *OWN["joint"]]


@pytest.mark.parametrize(("inlet", "hot"), [("15 degC", ()), ("60 degC", (HOT,))])
def test_metal_that_water_keeps_hot_burns(inlet: str, hot: tuple[str, ...]) -> None:
    water = [{"conductors": ["go", "back"], "inlet": inlet, "flow": "2 l/min"}]
    assert cautioned(water=water) == [*ALWAYS, *WATER, *hot]


def test_what_is_not_known_may_burn() -> None:
    assert burning([Measured(20.0, float("inf"), "degC")]) == (HOT,)
