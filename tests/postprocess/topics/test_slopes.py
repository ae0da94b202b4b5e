"""Words and tables of slopes, of answers made by hand."""

from __future__ import annotations

import math
from dataclasses import replace

from made_answers import point

from crosscurrent.postprocess.answers.slope_answers import CircuitSlope, ConductorSlope, SlopeAnswer
from crosscurrent.postprocess.topics.slopes import SlopesAnswer, by_weight, record, sentences, tables

FEED = CircuitSlope(-0.5, 1e-4, 2e-5, 1e-9, -1.0, 0.2)
WIDTH = SlopeAnswer("bar.width", 0.04, "m", {"feed": FEED}, -25.0, 0.1, -1.0)
HALF = {"feed": replace(FEED, resistance_relative=-0.5)}
SIGMA = SlopeAnswer("copper.conductivity", 58e6, "S/m", HALF, -1e-8, 0.0, -0.5)
IDLE = SlopeAnswer("gap", 0.003, "m", {"feed": CircuitSlope(None, None, None, None, None, None)}, 0.0, 0.0, None)
FOUND = SlopesAnswer([replace(point(50.0), slopes=(IDLE, SIGMA, WIDTH))], {"bar.turn": "it is round"})


def test_the_most_important_stands_first() -> None:
    assert [one.key for one in by_weight(FOUND.points[0].slopes)] == ["bar.width", "copper.conductivity", "gap"]
    assert record(FOUND)["most_first_by_frequency_hz"] == {"50": ["bar.width", "copper.conductivity", "gap"]}


def test_tables_in_per_cent_and_per_length() -> None:
    per_cent, per_length = tables(FOUND)
    assert per_cent.rows[0] == ("bar.width", "40 mm", "-1.000 %", "-1.000 %", "+0.200 %")
    assert per_cent.rows[2][2:] == ("-", "-", "-")
    assert [row[0] for row in per_length.rows] == ["bar.width", "gap"]
    assert per_length.rows[0][1:5] == ("-25.0 mW/m", "-635 uW/m", "-500 uohm/m", "20.0 nH/m")


def test_figures_stand_as_the_trade_writes_them() -> None:
    kinds = [(math.pi / 2, "rad", "90 deg"), (2000.0, "", "2000"), (0.00393, "1/K", "0.00393 1/K"),
             (85e3, "Hz", "85.00 kHz")]  # fmt: skip
    slopes = tuple(replace(WIDTH, value=value, unit=unit) for value, unit, _ in kinds)
    per_cent, *_ = tables(replace(FOUND, points=[replace(point(50.0), slopes=slopes)]))
    assert [row[1] for row in per_cent.rows] == [text for *_, text in kinds]


def test_what_would_round_to_nothing_has_no_sign() -> None:
    faint = replace(WIDTH, loss_relative=-4e-4)
    per_cent, _ = tables(replace(FOUND, points=[replace(point(50.0), slopes=(faint,))]))
    assert per_cent.rows[0][2] == "below 0.001 %"


def test_sentences_say_what_matters_and_what_has_no_slope() -> None:
    said = list(sentences(FOUND))
    assert said[0].endswith("changes the loss by: bar.width -1.000 %, copper.conductivity -0.500 %")
    assert said[-1] == "bar.turn has no slope: it is round"
    assert any("hold the temperatures" in one for one in sentences(replace(FOUND, warmed=True)))


def test_currents_of_a_wanted_power_are_told() -> None:
    held = replace(WIDTH, current=2.0, current_error=0.1, current_relative=0.08)
    said = list(sentences(replace(FOUND, points=[replace(point(50.0), slopes=(held, SIGMA))])))
    assert any(one.endswith("changes its currents by: bar.width +0.080 %") for one in said)


def test_a_slope_below_its_bar_is_none_in_per_cent_and_per_length() -> None:
    unsure = replace(WIDTH, loss=0.05, circuits={"feed": replace(FEED, resistance=-5e-5, inductance=1e-10)})
    found = replace(FOUND, points=[replace(point(50.0), slopes=(unsure,))])
    per_cent, per_length = tables(found)
    assert per_cent.rows == (("bar.width", "40 mm", "none", "none", "none"),)
    assert per_length.rows == (("bar.width", "none", "none", "none", "none", "100 nohm/m"),)
    assert not any("changes the loss" in one for one in sentences(found))


def test_losses_of_conductors_alone_and_edges_less_round() -> None:
    alone = {"bar-1": ConductorSlope(-2.0, 0.1, -1.0), "bar-2": ConductorSlope(1e-4, 0.1, 0.5)}
    here = point(50.0)
    first = next(iter(here.conductors.values()))
    both = replace(here, conductors={name: replace(first, name=name) for name in alone})
    found = replace(FOUND, points=[replace(both, slopes=(replace(WIDTH, conductors=alone),))], beside=("bar.width",))
    *_, last = tables(found)
    assert last.columns == ("figure", "bar-1", "bar-2")
    assert last.rows[0][:2] == ("bar.width", "-1.000 %")
    assert "+0.500 %" not in last.rows[0]  # below its own error
    pushed = {name: replace(c, force=1.0, force_error=0.1, force_relative=2.0, outward=3.0, outward_error=0.1,
                            outward_relative=-0.5) for name, c in alone.items()}  # fmt: skip
    ring = replace(both, slopes=(replace(WIDTH, conductors=pushed),), axial=True)
    *_, along, outward = tables(replace(found, points=[ring]))
    assert along.heading.startswith("Peak force along the axis")
    assert (along.rows[0][1], outward.rows[0][1]) == ("+2.000 %", "-0.500 %")
    assert any(one.startswith("bar.width: found with all edges 0.04 % and 0.2 % less") for one in sentences(found))
