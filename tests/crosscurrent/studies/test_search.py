"""Searches with slopes from the field, against answers known in closed form."""

from __future__ import annotations

from math import pi
from pathlib import Path

import pytest
from study_cases import ROD, written

from crosscurrent.solver.metals.depth import skin_depth
from crosscurrent.studies.plan import Question, Range
from crosscurrent.studies.search import Search, searched

SHEET = """
[frequency]
at = ["10 kHz"]
[accuracy]
resistance = "0.01 %"
[named]
thick = "1 mm"
[[conductor]]
name = "go"
shape = "bar"
width = "1 m"
thickness = "thick"
material = "copper"
[[conductor]]
name = "back"
shape = "bar"
width = "1 m"
thickness = "thick"
material = "copper"
place = { below = "go", gap = "0.1 mm" }
[[circuit]]
name = "feed"
current = "100 A"
out = ["go"]
back = ["back"]
"""


def test_inside_a_limit(tmp_path: Path) -> None:
    """The thinnest rod that loses no more than it may: area = I^2 / (sigma P)."""
    case = written(tmp_path, ROD + '[limits]\nloss = "2 W/m"\n')
    span = (Range("size", 0.005, 0.03, "length"),)
    way = searched(Search(case, {}, span, Question(("mass",), 0.0, "feed"), "mass", (0.9,)))
    exact = (4 / pi * 1e4 / (58e6 * 2.0)) ** 0.5
    last = way[-1]
    assert last.values["size"] == pytest.approx(exact, rel=1e-3)
    assert (last.verdict, len(way) <= 12) == ("pass", True)


@pytest.mark.parametrize("start", [0.2, 0.8])
def test_the_thickness_of_least_resistance(tmp_path: Path, start: float) -> None:
    """A wide sheet that faces its return has the least resistance at pi/2 skin depths.

    E. Bennett, S. C. Larson, Effective resistance to alternating currents of multilayer windings, Trans. AIEE 59, 1940.
    """
    case = written(tmp_path, SHEET)
    span = (Range("thick", 0.0003, 0.003, "length"),)
    way = searched(Search(case, {}, span, Question(("resistance",), 1e4, "feed"), "resistance", (start,)))
    least = min(way, key=lambda d: d.figures["resistance_ohm_per_m"])
    assert least.values["thick"] == pytest.approx(pi / 2 * skin_depth(1e4, 58e6), rel=0.01)
    assert len(way) <= 8


def test_a_way_that_cannot_be_gone(tmp_path: Path) -> None:
    """It ends where a design has no figures, and leaves that one with its fault."""
    case = written(tmp_path, ROD)
    span = (Range("size", 0.01, 0.02, "length"),)
    way = searched(Search(case, {"metal": "coper"}, span, Question(("loss",), 0.0, "feed"), "loss", (0.5,)))
    assert [bool(d.fault) for d in way] == [True]
