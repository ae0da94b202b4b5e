"""Designs side by side: rows, the best of each, data files."""

from __future__ import annotations

import csv
import io
import json
from dataclasses import replace

from made_answers import PAIR, circuit, conductor, point

from crosscurrent.postprocess.answers.answers import Answers
from crosscurrent.postprocess.answers.chapter import Chapter, Measured
from crosscurrent.postprocess.answers.compared_rows import ComparedDesign, DesignVerdict
from crosscurrent.postprocess.answers.comparison import Comparison, compared


def design(name: str, *points: Answers, chapters: tuple[Chapter, ...] = (), **settings: str) -> ComparedDesign:
    return ComparedDesign(name, name.title(), points, chapters, settings)


def lossy(resistance: float) -> Answers:
    """One circuit of some resistance at 1 kHz, and a rod that loses what it says."""
    return point(1e3, circuit(resistance=resistance), conductors=(conductor("rod", 100 * resistance), PAIR[1]))


def pair() -> Comparison:
    """R of 1 and 2 mohm/m, each to 1 %; at 0 Hz only the first."""
    thick = design("thick", point(0.0), point(1e3), material="copper", width="10 mm")
    thin = design("thin", lossy(2e-3), material="copper", width="5 mm")
    return compared([thick, thin])


def test_only_shared_frequencies_have_rows_and_the_lowest_is_the_best() -> None:
    rows = {row.name: row for row in pair().rows}
    assert all("1 kHz" in name for name in rows)
    assert rows["R of feed at 1 kHz"].best == (0,)
    assert rows["L of feed at 1 kHz"].best == ()  # alike
    assert rows["loss of everything at 1 kHz"].best == (0,)
    force = rows["largest force at 1 kHz (time average)"]
    assert force.figures[0] is not None
    assert force.figures[0].value == 5.0  # of 3 and 4


def test_the_table_marks_the_best() -> None:
    cells = {row[0]: row[1:] for row in pair().table().rows}
    assert cells["R of feed at 1 kHz"] == ("1.000 mohm/m *", "2.000 mohm/m")
    assert pair().settings_table().rows == (("width", "10 mm", "5 mm"),)


def test_data_say_the_same_as_the_table() -> None:
    data = json.loads(pair().as_json())
    assert data["designs"] == ["thick", "thin"]
    row = next(r for r in data["rows"] if r["quantity"] == "R of feed at 1 kHz")
    assert (row["values"], row["errors"], row["best"]) == ([1e-3, 2e-3], [1e-5, 2e-5], ["thick"])
    lines = list(csv.DictReader(io.StringIO(pair().as_csv())))
    assert len(lines) == len(pair().rows)
    assert next(r for r in lines if r["quantity"].startswith("R of"))["thin"] == "0.002"


def test_a_figure_that_is_not_known_is_left_open() -> None:
    cold = Chapter("t", "T", {}, measured={"temperature": (Measured(50.0, 5.0, "degC"), Measured(40.0, 5.0, "degC"))})
    endless = Chapter("t", "T", {}, measured={"temperature": (Measured(float("inf"), 0.0, "degC"),)})
    found = compared([design("a", point(50.0), chapters=(cold,)), design("b", point(50.0), chapters=(endless,))])
    (row,) = [r for r in found.rows if r.name == "temperature"]
    assert row.figures[0] is not None
    assert (row.figures[0].value, row.figures[1]) == (50.0, None)


def test_designs_without_a_frequency_in_common_have_no_electric_rows() -> None:
    assert compared([design("a", point(50.0)), design("b", point(60.0))]).rows == ()


def test_a_design_that_fails_has_no_mark_and_is_named_first() -> None:
    good, bad, open_ = (
        ComparedDesign(name, name, (lossy(r),), (), {}, v)
        for name, r, v in (
            ("good", 2e-3, DesignVerdict("pass", "all 2 limits hold")),
            ("bad", 1e-3, DesignVerdict("fail", "the limit fails: mass")),
            ("open", 3e-3, DesignVerdict("cannot tell", "nobody can tell: loss")),
        )
    )
    found = compared([good, bad, open_])
    cells = {row[0]: row[1:] for row in found.table().rows}
    assert cells["R of feed at 1 kHz"] == ("2.000 mohm/m *", "1.000 mohm/m", "3.000 mohm/m")
    assert "none where a design fails" in found.table().heading
    assert found.sentences == (
        "best in loss, R of feed: good",
        "bad is out: the limit fails: mass",
        "open may stay or not: nobody can tell: loss",
        "limits hold: good",
    )
    data = json.loads(found.as_json())
    assert data["verdicts"][1] == {"verdict": "fail", "why": "the limit fails: mass"}
    assert data["sentences"] == list(found.sentences)
    assert data["titles"] == ["good", "bad", "open"]


def test_a_figure_below_its_bar_is_none_and_its_data_stay() -> None:
    """A force of 1e-8 N/m with a bar of 2e-8, a ratio known to 150 %; 20 degC to 25 K is a temperature all the same."""
    still = replace(conductor("rod"), force=(1e-8, 0.0), force_error=2e-8)
    calm = point(1e3, replace(circuit(), resistance_error=1.5), conductors=(still,))
    warm = Chapter("t", "", {}, measured={"temperature": (Measured(20.0, 25.0, "degC"),)})
    found = compared([design("calm", calm, chapters=(warm,)), design("thick", point(1e3), chapters=(warm,))])
    cells = {row[0]: row[1:] for row in found.table().rows}
    assert cells["largest force at 1 kHz (time average)"] == ("none *", "5.000 N/m")
    assert cells["R of feed at 1 kHz"][0] == cells["Rac/Rdc of feed at 1 kHz"][0] == "none"
    assert cells["temperature"] == ("20.00 degC", "20.00 degC")
    force = next(row for row in json.loads(found.as_json())["rows"] if row["unit"] == "N/m")
    assert force["values"] == [1e-8, 5.0]
