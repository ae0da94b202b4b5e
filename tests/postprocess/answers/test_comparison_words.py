"""The verdict of a comparison, and where designs are not alike."""

from __future__ import annotations

from dataclasses import replace

from made_answers import PAIR, circuit, conductor, point

from crosscurrent.postprocess.answers.answers import Answers
from crosscurrent.postprocess.answers.compared_rows import ComparedDesign, ComparedFigure, ComparedRow, DesignVerdict
from crosscurrent.postprocess.answers.comparison_words import unlike, verdict_words

PASS, FAIL, NONE = DesignVerdict("pass", "it holds"), DesignVerdict("fail", "it melts"), DesignVerdict()


def row(merit: str, at: str, *values: float, out: frozenset[int] = frozenset()) -> ComparedRow:
    return ComparedRow(f"{merit} at {at}", "W/m", tuple(map(ComparedFigure, values)), merit=merit, at=at, out=out)


def warm(*temperatures: float) -> Answers:
    pair = tuple(replace(c, temperature=t) for c, t in zip(PAIR, temperatures, strict=True))
    return point(50.0, circuit(), conductors=pair)


def test_what_a_design_is_best_in_is_told_with_its_frequencies() -> None:
    rows = [row("loss", "50 Hz", 1.0, 2.0), row("loss", "1 kHz", 2.0, 1.0), row("mass", "", 1.0, 2.0)]
    assert list(verdict_words(["a", "b"], [NONE, NONE], rows)) == [
        "best in loss at 50 Hz, mass: a",
        "best in loss at 1 kHz: b",
        "no limits stated: a, b",
    ]


def test_who_is_left() -> None:
    rows = [row("loss", "50 Hz", 1.0, 2.0, out=frozenset({0}))]
    assert list(verdict_words(["a", "b"], [FAIL, PASS], rows)) == [
        "only b is left: no other holds",
        "a is out: it melts",
        "limits hold: b",
    ]
    all_out = [replace(rows[0], out=frozenset({0, 1}))]
    assert next(verdict_words(["a", "b"], [FAIL, FAIL], all_out)) == "no design is left: all of them fail"
    alike = [row("loss", "50 Hz", 1.0, 1.0)]
    said = next(verdict_words(["a", "b"], [PASS, PASS], alike))
    assert said == "no figure tells the designs apart within their error bars"


def test_unlike_questions_are_told() -> None:
    one = ComparedDesign("a", "A", (warm(20.0, 20.0), point(1e3)), (), {"limits: loss": "1 W/m"}, NONE, 2.0)
    other = ComparedDesign("b", "B", (warm(20.0, 71.25),), (), {"prices: copper": "9 EUR/kg"}, NONE)
    assert list(unlike([one, other])) == [
        "unlike frequencies: compared at 50 Hz; a also 1 kHz",
        "unlike lengths, the figures are per metre of run: a 2 m; b not stated",
        "unlike temperatures of the conductors at 50 Hz: a 20 degC; b 20 to 71 degC",
        "judged by unlike [limits]: a loss 1 W/m; b none",
        "unlike [prices]: a none; b copper 9 EUR/kg",
    ]


def test_unlike_currents_are_told_and_alike_ones_are_not() -> None:
    twice = replace(circuit(), current=20 + 0j)
    designs = [ComparedDesign(n, n, (point(50.0, c, conductors=(conductor(), PAIR[1])),), (), {}) for n, c in
               (("a", circuit()), ("b", twice))]  # fmt: skip
    assert list(unlike(designs)) == ["unlike currents of feed: a 10 A; b 20 A"]
    assert list(unlike([designs[0], designs[0]])) == []
