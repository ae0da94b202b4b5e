"""Every further table alone in the smallest case that may hold it: it runs, and leaves a chapter of plain data."""

from __future__ import annotations

import json
from typing import Any

import pytest
from topic_cases import tubes

from crosscurrent.casefile.axial_checks import AXIAL
from crosscurrent.casefile.case import checked_case
from crosscurrent.casefile.model import CaseData
from crosscurrent.postprocess.files.results import as_json
from crosscurrent.run import solve_case

ALONE: dict[str, tuple[Any, str | None]] = {
    "cooling": ({}, "temperature"),
    "duty": ([{"name": "once", "on": "1 s"}], "duty"),
    "water": ([{"conductors": ["go"], "inlet": "20 degC", "flow": "4 l/min"}], "water"),
    "voltage": ({}, "voltage"),
    "supports": ({}, "supports"),
    "field": ({}, "field"),
    "joint": ([{"name": "bolted", "circuit": "feed", "resistance": "10 uohm"}], "joints"),
    "prices": ({}, "mass"),
    "waveform": ({"frequency": "1 kHz", "harmonics": [{"order": 1, "current": "10 A"}]}, "waveform"),
    "fault": ({"form": "step", "current": "1 kA", "duration": "1 s"}, "fault"),
    "ladder": ({"from": "50 Hz", "to": "1 kHz"}, "ladder"),
    "slopes": ({}, "slopes"),
    "tolerance": ({}, "tolerance"),
    "limits": ({}, "limits"),
    "measured": ({}, None),
    "vary": ([{"name": "go.wall", "values": ["1 mm", "2 mm"]}], None),
    "study": ({}, None),
    "report": ({}, None),
    "pictures": ({"zoom": ["go"]}, None),
    "material": ({"own": {"conductivity": "10 MS/m"}}, None),
    "accuracy": ({}, None),
}
OF_EVERY_CASE = ("title", "symmetry", "length", "ambient", "named", "frequency", "conductor", "circuit")


def test_every_table_is_here() -> None:
    assert set(ALONE) | set(OF_EVERY_CASE) | set(AXIAL) == set(CaseData.model_fields)


@pytest.mark.parametrize("table", ALONE)
def test_a_table_alone(table: str) -> None:
    written, key = ALONE[table]
    result = solve_case(checked_case(tubes(**{table: written})))
    found = {chapter.key for chapter in result.chapters}
    assert found - {"hand_formula"} == ({key} if key else set())
    assert json.loads(as_json(result.heading, result.points, result.chapters))["points"]
