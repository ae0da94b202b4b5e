"""What is said of a work piece heated in time, of a ball that takes 200 W for a minute."""

from __future__ import annotations

import csv
import io
import math
from dataclasses import replace

import numpy as np
import pytest
from heated_pieces import ball_answer

from crosscurrent.postprocess.topics.heating import (
    HeatingAnswer,
    as_csv,
    assumption,
    hottest,
    record,
    sentences,
    table,
    warnings,
)

CAPACITY = 7800 * 500 * 4 / 3 * math.pi * 0.015**3  # [J/K]
NOT_FOLLOWED = HeatingAnswer("ball", 10e3, None, False, None, np.zeros(0), np.zeros(0), "it runs away")


@pytest.fixture(scope="module")
def answer() -> HeatingAnswer:
    return ball_answer()


def test_the_mean_follows_newtons_law(answer: HeatingAnswer) -> None:
    """T - T0 = P / hA (1 - exp(-hA t / C)) of a body as warm all over; the surface of this one is 4 K warmer."""
    loss = 20.0 * 4 * math.pi * 0.015**2
    exact = 20.0 + 200.0 / loss * (1 - math.exp(-loss * 60.0 / CAPACITY))
    assert record(answer)["end"]["mean"]["degc"] == pytest.approx(exact, rel=3e-3)


def test_the_record_balances(answer: HeatingAnswer) -> None:
    found = record(answer)
    heat = found["total_heat_j"]
    assert heat["made"] == pytest.approx(200.0 * 60.0, rel=1e-6)
    assert heat["kept"] + heat["radiated"] + heat["to_air"] == pytest.approx(heat["made"], rel=1e-9)
    assert heat["radiated"] == 0.0
    assert found["power_held"] is True
    assert found["total_power_start_w"] == pytest.approx(200.0)
    assert len(found["courses"]["time_s"]) == len(found["courses"]["mean_degc"]) == 121
    assert found["courses"]["mean_degc"][0] == pytest.approx(20.0)
    assert set(found["reached_s"]) == {"hottest", "surface", "mean", "core"}
    # the skin is reached first, the core last
    assert found["reached_s"]["hottest"] < found["reached_s"]["surface"]
    assert found["reached_s"]["surface"] < found["reached_s"]["mean"] < found["reached_s"]["core"]


def test_bars_hold_both_orders_and_not_the_loss_of_a_held_power(answer: HeatingAnswer) -> None:
    assert all(answer.errors[name] < 0.02 for name in ("surface", "mean", "core"))
    assert answer.errors["hottest"] < 1.0  # where the skin is heated
    free = replace(answer, held=False)
    assert free.errors["mean"] > answer.errors["mean"]


def test_table_and_sentences(answer: HeatingAnswer) -> None:
    made = table(answer)
    assert made.heading == "ball: 200.0 W at 10 kHz (degC)"
    assert made.columns == ("after", "surface (mean)", "mean", "core", "hottest", "coldest")
    assert len(made.rows) == 7
    assert made.rows[0][1:4] == ("20.0", "20.0", "20.0")
    said = sentences(answer)
    assert said[0].startswith("ball at 10 kHz: 200 W bring it from 20 to ")
    assert " surface 235 in the mean of all its faces, core " in said[0]
    assert said[1].startswith("ball reaches 60 degC: its hottest point after ")
    assert ", its surface, the mean of all its faces, after " in said[1]
    assert said[-1] == assumption(answer)
    assert "a film of 20 W/(m2 K)" in said[-1]


def test_a_wide_bar_is_told_in_plain_figures(answer: HeatingAnswer) -> None:
    unsure = replace(answer)
    vars(unsure)["errors"] = dict.fromkeys(answer.errors, 163.0)
    assert "231 degC (+- 163 K) on the mean" in sentences(unsure)[0]


def test_what_is_not_reached_is_said(answer: HeatingAnswer) -> None:
    assert "its core not in this time" in sentences(replace(answer, until=230.0))[1]
    assert sentences(replace(answer, until=2000.0))[1] == "ball does not reach 2000 degC anywhere in this time"
    assert record(replace(answer, until=None))["reached_s"] == dict.fromkeys(("hottest", "surface", "mean", "core"))


def test_limits_are_set_on_the_hottest_place(answer: HeatingAnswer) -> None:
    found = hottest(answer)
    assert found.value == pytest.approx(record(answer)["end"]["hottest"]["degc"])
    assert (found.unit, found.of, found.words) == ("degC", "ball", "ball at 10 kHz")


def test_the_csv_has_a_row_for_every_time(answer: HeatingAnswer) -> None:
    rows = list(csv.reader(io.StringIO(as_csv(answer))))
    assert len(rows) == 122
    assert float(rows[-1][0]) == 60.0


def test_a_metal_that_keeps_its_resistivity_needs_no_warning(answer: HeatingAnswer) -> None:
    assert warnings(answer) == []


def test_what_could_not_be_followed_says_why() -> None:
    assert record(NOT_FOLLOWED) == {"piece": "ball", "frequency_hz": 10e3, "reason": "it runs away"}
    assert sentences(NOT_FOLLOWED) == ["ball at 10 kHz: it runs away"]
    assert warnings(NOT_FOLLOWED) == ["ball: it runs away"]
