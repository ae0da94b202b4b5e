"""Words of heat in time: once, too long, melted."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
from topic_answers import wire

from crosscurrent.postprocess.topics.duty import Course, duration, measured, record, sentence, table, warnings


def once(end: float, **more: Any) -> Course:
    begun = Course(**{"name": "short", "frequency": 50.0, "conductors": (wire("rod"),), "current": 5e3, "on": 1.0,
                      "off": None} | more)  # fmt: skip
    return begun.heated_once(np.array([40.0]), np.array([end]), np.array([2.0]), "as stated")


def test_once() -> None:
    course = once(140.0)
    assert sentence(course) == "short at 50 Hz: rod goes from 40.0 degC (as stated) to 140.0 degC on the mean in 1 s"
    assert record(course)["conductors"]["rod"]["end_degc"] == 140
    (figure,) = measured([course])
    assert (figure.of, figure.load, figure.frequency) == ("rod", "after short, 50 Hz", 50.0)
    assert figure.error == 2 + 0.05 * 100  # of the start, and 5 % of the rise
    assert not warnings(once(140.0, on=5.0))
    assert course.stem == "short-50Hz"


def test_as_groups_of_strands_are_laid_it_gets_hotter() -> None:
    begun = Course("short", 50.0, (wire("rod"),), 5e3, 1.0, None)
    course = begun.heated_once(np.array([40.0]), np.array([140.0]), np.array([2.0]), "as stated", np.array([158.0]))
    assert sentence(course).endswith("on the mean in 1 s; as its groups of strands are laid up to 158.0 degC")
    assert measured([course])[0].above == 18.0
    assert record(course)["conductors"]["rod"]["end_as_laid_degc"] == 158


def test_too_long_and_too_hot() -> None:
    assert any("too much for 60 s" in s for s in warnings(once(140.0, on=60.0)))
    melted = once(math.inf)
    assert sentence(melted).endswith("rod melts, from 40.0 degC (as stated)")
    assert table(melted).rows[0][2] == "melts"
    assert measured([melted])[0].endless


def test_one_that_failed_says_why() -> None:
    course = Course("short", 50.0, (wire("rod"),), 5e3, 1.0, None).failed("no density")
    assert sentence(course) == "short at 50 Hz: no density"
    assert record(course)["reason"] == "no density"
    assert duration(5400.0) == "90 min"
