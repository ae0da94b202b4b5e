"""The remaining time, with a clock set by hand."""

from __future__ import annotations

import pytest

from crosscurrent.studies.pace import Pace


class Clock:
    now = 0.0

    def __call__(self) -> float:
        return self.now


def test_even_pace_gives_the_exact_rest() -> None:
    clock = Clock()
    pace = Pace(1000, clock=clock)
    for _ in range(100):
        clock.now += 0.5
        pace.count(4)
    assert pace.remaining() == pytest.approx(600 * 0.125)
    assert pace.words() == "400 of 1000 designs, about 75 s left"


def test_the_recent_pace_counts_and_not_the_earlier() -> None:
    clock = Clock()
    pace = Pace(10_000, clock=clock)
    for seconds in [1.0] * 100 + [10.0] * 100:
        clock.now += seconds
        pace.count()
    assert pace.remaining() == pytest.approx(9800 * 10.0)


def test_a_search_that_takes_more_than_was_foreseen() -> None:
    clock = Clock()
    pace = Pace(98, clock=clock)
    clock.now = 5.0
    pace.count(106)
    assert pace.words() == "106 designs, more than the 98 foreseen"


def test_what_a_resumed_study_found_says_nothing_of_the_pace() -> None:
    clock = Clock()
    pace = Pace(100, done=90, clock=clock)
    assert pace.words() == "90 of 100 designs"
    clock.now = 5.0
    pace.count()
    assert pace.remaining() == pytest.approx(45.0)


@pytest.mark.parametrize(
    ("seconds", "words"),
    [(0.2, "1 s"), (119.0, "119 s"), (150.0, "2 min"), (7199.0, "120 min"), (9000.0, "2 h"), (180_000.0, "2 d")],
)
def test_words_of_a_rest(seconds: float, words: str) -> None:
    clock = Clock()
    pace = Pace(11, clock=clock)
    clock.now = 10.0 * seconds
    pace.count(10)
    assert pace.words() == f"10 of 11 designs, about {words} left"


def test_no_rest_without_a_total_nor_at_the_end() -> None:
    clock = Clock()
    endless, ended = Pace(None, clock=clock), Pace(1, clock=clock)
    clock.now = 2.0
    endless.count()
    ended.count()
    assert endless.words() == "1 designs"
    assert ended.words() == "1 of 1 designs"
