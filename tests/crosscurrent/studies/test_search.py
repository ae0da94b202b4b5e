"""Searches with slopes from the field, against answers known in closed form."""

from __future__ import annotations

from math import pi
from pathlib import Path

import numpy as np
import pytest
from study_cases import ROD, written

from crosscurrent.casefile.case import Case
from crosscurrent.solver.metals.depth import skin_depth
from crosscurrent.studies import search
from crosscurrent.studies.design import Design
from crosscurrent.studies.plan import Question, Range, fill
from crosscurrent.studies.search import Search, searched
from crosscurrent.studies.trial import Trial

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


def test_noise_of_the_solves_is_not_searched(monkeypatch: pytest.MonkeyPatch) -> None:
    """Meshes differ from design to design: at the border of a limit figures jitter within their bars."""
    def made_up(trial: Trial) -> Design:
        x, y = (float(trial.values[key]) for key in "xy")
        jitter = 1 + 3e-6 * np.sign(np.sin(1e7 * (x + 2 * y)))
        loss, slope = 2000 * (1 + (x - 0.3) ** 2 - 0.5 * y), {"x": 4000 * (x - 0.3), "y": -1000.0}
        slopes = {"loss_w_per_m": slope, "margin inductance": {"x": 0.1, "y": 1.2}}
        margin = {"inductance": 0.1 * x + 1.2 * y - 0.7 + 1e-5 * np.sin(3e7 * (x - y))}
        return Design(trial.key, trial.values, {"loss_w_per_m": loss * jitter}, {}, slopes, margin, "pass")

    monkeypatch.setattr(search, "tried", made_up)
    span = (Range("x", 0.0, 1.0, "number"), Range("y", 0.0, 1.0, "number"))
    for seed in range(10):
        start = fill(1, 2, seed)[0]
        way = searched(Search(_nothing, {}, span, Question(("loss",), 0.0, "feed"), "loss", start))
        best = min((d for d in way if d.margins["inductance"] <= 0), key=lambda d: d.figures["loss_w_per_m"])
        x = 0.3 - 1 / 48  # where the border is as steep as the loss
        exact = 2000 * (1 + (x - 0.3) ** 2 - 0.5 * (0.7 - 0.1 * x) / 1.2)
        assert best.figures["loss_w_per_m"] == pytest.approx(exact, rel=3e-4)
        assert len(way) <= 5


def _nothing() -> Case:
    raise AssertionError
