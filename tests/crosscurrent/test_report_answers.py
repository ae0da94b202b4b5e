"""The table of answers: the total first, as full as its rows allow, no loss below nothing."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from topic_cases import solved_bars, solved_tubes, tube

from crosscurrent.postprocess.report import AnswerRow, Group
from crosscurrent.report_answers import TERMINAL, answer_groups
from crosscurrent.result import Result

PHASES = [
    {"name": name, "current": "100 A", "phase": f"{angle} deg", "out": [f"t{k}"], "back": ["t3"]}
    for k, (name, angle) in enumerate((("L1", 0), ("L2", -120), ("L3", 120)))
]


@pytest.fixture(scope="module")
def feed() -> Result:
    return solved_tubes()


def size(groups: tuple[Group, ...]) -> int:
    return sum(1 + len(group.rows) for group in groups)


def test_the_total_stands_first(feed: Result) -> None:
    first = answer_groups(feed, feed.points, 40)[0]
    assert first.heading == "the whole section"
    assert [row.name for row in first.rows] == ["total loss over 3 m at direct current", "loss at direct current"]
    # two tubes of annealed copper at 20 degC (IEC 60028: 58 MS/m), 1000 A: 2 I^2 / (58 MS/m A), and over 3 m
    loss = 2 * 1000**2 / (58e6 * np.pi * (0.006**2 - 0.005**2))
    assert float(first.rows[1].value.removesuffix(" W/m")) == pytest.approx(loss, rel=1e-4)
    assert float(first.rows[0].value.removesuffix(" kW")) == pytest.approx(3e-3 * loss, rel=2e-4)


@pytest.mark.parametrize("most", [8, 12, 16, 20, 40])
def test_it_keeps_to_its_rows(feed: Result, most: int) -> None:
    points = [replace(feed.points[0], frequency=float(f)) for f in range(3)]
    groups = answer_groups(feed, points, most)
    assert size(groups) <= most
    assert any("resistance" in row.name for group in groups[1:] for row in group.rows)


def test_with_room_it_says_everything_of_every_conductor(feed: Result) -> None:
    names = [row.name for group in answer_groups(feed, feed.points, 40) for row in group.rows]
    assert "total voltage over 3 m" in names
    assert "current density (largest, rms)" in names
    assert len(answer_groups(feed, feed.points, 40)) > len(answer_groups(feed, feed.points, 12))


@pytest.fixture(scope="module")
def phases() -> Result:
    tubes = [tube(f"t{k}", f"{15 * k} mm") for k in range(4)]
    return solved_tubes(conductor=tubes, circuit=PHASES, frequency={"at": ["400 Hz"]})


def test_no_loss_is_negative_and_coupled_circuits_tell_their_own(phases: Result) -> None:
    for most in (12, 20, 60):
        rows = _rows(phases, most)
        losses = [row for row in rows if "loss" in row.name or "resistance" in row.name]
        assert losses
        assert not any(row.value.startswith("-") for row in losses)
    assert "resistance of L2" in [row.name for row in _rows(phases, 16)]


def test_resistance_and_inductance_are_never_left_out(phases: Result) -> None:
    """A first page without room for them leaves them to the next."""
    names = {row.name for row in _rows(phases, 5)}
    assert {f"{what} of {name}" for what in ("resistance", TERMINAL) for name in ("L1", "L2", "L3")} <= names


def test_each_loss_of_a_pair_is_told() -> None:
    assert {"loss of a", "loss of b"} <= {row.name for row in _rows(solved_bars(), 14)}


def _rows(result: Result, most: int) -> list[AnswerRow]:
    return [row for group in answer_groups(result, result.points, most) for row in group.rows]


def test_what_lies_below_its_bar_is_none(feed: Result) -> None:
    point = feed.points[0]
    unsure = {n: replace(c, resistance_error=1.5, inductance_error=1.5) for n, c in point.circuits.items()}
    still = {n: replace(c, loss=1e-20, force=(0.0, 0.0)) for n, c in point.conductors.items()}
    rows = [
        (row.name, row.value)
        for group in answer_groups(feed, [replace(point, circuits=unsure, conductors=still)], 60)[1:]
        for row in group.rows
    ]
    names = {name for name, value in rows if value == "none"}
    assert {"resistance", "inductance", "loss", "current density (largest, rms)", "force (time average)"} <= names
