"""Words of limits: the verdict as a whole, what lacks, what would help."""

from __future__ import annotations

import math
from typing import Any

import pytest
from topic_answers import wire

from crosscurrent.postprocess.answers.chapter import Measured
from crosscurrent.postprocess.answers.limits import Verdict
from crosscurrent.postprocess.answers.metal_limits import broken_bounds
from crosscurrent.postprocess.answers.summary import HoldingCurrent
from crosscurrent.postprocess.topics.limits import (
    DesignChange,
    LimitsAnswer,
    record,
    sentences,
    spoiling,
    table,
    warnings,
)


def loss(value: float) -> Verdict:
    return Verdict("loss", 100.0, Measured(value, 2.0, "W/m", words="50 Hz", frequency=50.0))


def answer(*verdicts: Verdict, **more: Any) -> LimitsAnswer:
    return LimitsAnswer(**{"stated": {v.limit: v.allowed for v in verdicts}, "verdicts": verdicts} | more)


@pytest.mark.parametrize(
    ("value", "said"),
    [
        (90.0, "the limit holds, error bar included"),
        (110.0, "the limit fails: loss at 50 Hz: 110.0 W/m (+- 2 W/m) against 100.0 W/m"),
        (99.0, "no limit fails, but the error bar straddles 1 of them, so nobody can tell: loss at 50 Hz"),
    ],
)
def test_the_verdict_as_a_whole(value: float, said: str) -> None:
    assert next(sentences(answer(loss(value)))).startswith(said)


def test_a_row_and_its_record() -> None:
    assert table(answer(loss(90.0))).rows == (
        ("loss", "50 Hz", "90.00 W/m", "3 %", "100.0 W/m", "10.0 W/m", "pass"),
    )
    row = record(answer(loss(90.0)))["limits"][0]
    assert (row["of"], row["load"], row["margin"], row["verdict"]) == ("50 Hz", None, 10.0, "pass")
    assert row["as_laid_up_to"] is None
    laid = Verdict("loss", 100.0, Measured(90.0, 2.0, "W/m", above=15.0))
    assert record(answer(laid))["limits"][0]["as_laid_up_to"] == 105.0
    endless = Verdict("temperature_bare", 90.0, Measured(math.inf, 0.0, "degC", "rod", "steady, 50 Hz"))
    assert table(answer(endless)).rows[0][1:3] == ("rod, steady, 50 Hz", "no end")
    assert record(answer(endless))["limits"][0]["value"] is None


def test_nothing_helps_a_limit_that_is_met_where_only_temperatures_have_no_end() -> None:
    met = Verdict("piece_power", 1000.0, Measured(290.0, 2.0, "W"), at_best="cannot tell")
    assert met.standing == "cannot tell"
    said = list(sentences(answer(met, helps=[DesignChange("10 % less current", 290.0, 235.0)])))
    assert not any("help" in text for text in said)
    *_, said = sentences(answer(loss(99.0), met, helps=[DesignChange("more gap", 99.0, 9.0)]))
    assert said.startswith("what would help loss")


def test_a_kind_that_is_held_throughout_is_not_told_to_be_cooled() -> None:
    (said,) = warnings(answer(stated={"temperature_bare": 90.0}, kinds=frozenset({"bare"}), held=frozenset({"bare"})))
    assert "is held at a temperature that the case states" in said
    assert "[cooling]" not in said


def test_what_would_help() -> None:
    helps = [DesignChange("10 % less current", 110.0, 90.0), DesignChange("10 % more gap", 110.0, 112.0)]
    *_, said = sentences(answer(loss(110.0), helps=helps))
    assert said == (
        "what would help loss at 50 Hz most (computed): 10 % less current lowers it by 20.0 W/m; "
        "10 % more gap raises it by 2.00 W/m"
    )
    *_, said = sentences(answer(loss(110.0), helps=helps[1:]))
    assert said.startswith("no change that was tried lowers loss at 50 Hz (computed)")
    *_, said = sentences(answer(loss(110.0)))
    assert said.startswith("no change that was tried moves loss at 50 Hz")
    assert not [line for line in sentences(answer(loss(110.0), tried=())) if "tried" in line]


def test_what_runs_away_is_helped_by_a_current_that_holds() -> None:
    endless = Verdict("temperature_bare", 90.0, Measured(math.inf, 0.0, "degC", "rod", "steady, 50 Hz"))
    holds = HoldingCurrent(90.0, 0.054, {"feed": 215.0}), HoldingCurrent(None, 0.165, {"feed": 661.0})
    *_, said = sentences(answer(endless, holds=holds))
    wanted = "feed 215 A (limit 90 degC), or feed 661 A (stable at all) at most"
    assert said == f"what would help temperature bare of rod, steady, 50 Hz: {wanted}"
    *_, said, more = sentences(answer(endless, holds=holds, helps=[DesignChange("more gap", math.inf, 80.0)]))
    assert wanted in said
    assert more.endswith("more gap brings it to 80.0 degC")
    *_, said = sentences(answer(loss(110.0), holds=holds))
    assert said.startswith("no change that was tried")


def test_what_lacks_is_said() -> None:
    stated = {"temperature_bare": 90.0, "temperature_touchable": 60.0, "mass": 1.0, "inductance": 1e-6}
    found = list(warnings(LimitsAnswer(stated, (), kinds=frozenset({"bare"}), returns_outside=True)))
    assert found[0].endswith("it needs [cooling] or [[water]], and a frequency listed in at")
    assert found[1].endswith("no conductor is touchable: name them in touchable")
    assert found[2].endswith("it needs a density of every metal in [material]")
    assert found[3].endswith("it needs a circuit with a current")
    assert "inductance: the currents do not sum to zero" in found[4]


def test_a_limit_on_the_field_depends_on_where_currents_return() -> None:
    (said,) = (w for w in warnings(answer(returns_outside=True, stated={"field": 1e-4})) if "return" in w)
    assert "field depends on where they return" in said
    assert "all round, further away than the points" in said


def test_which_temperatures_were_judged() -> None:
    bare = Verdict("temperature_bare", 90.0, Measured(50.0, 5.0, "degC", "rod"))
    assert any("the worse of the steady one" in s for s in sentences(answer(bare, cycles=["boats"])))
    off = answer(bare, cycles=["boats"], always_on=False)
    assert any("the peaks of boats, not the steady ones" in s for s in sentences(off))


def test_what_spoils_figures_is_said_once() -> None:
    """Copper melts at 1084.62 degC (ITS-90)."""
    hot = Measured(1200.0, 10.0, "degC", "rod", "steady, 50 Hz")
    endless = Measured(math.inf, 0.0, "degC", "wall", "steady, 50 Hz")
    found = spoiling(broken_bounds([wire("rod")], [hot, hot]), [endless, endless], [endless])
    assert found == [
        'the copper of "rod" begins to melt at 1084.6 degC, and it reaches 1200.0 degC (steady, 50 Hz)',
        "wall has no stable temperature (steady, 50 Hz)",
        "wall melts",
    ]
    assert next(sentences(answer(loss(90.0), spoiling=found))).startswith("as computed this cannot be: the copper")


def test_what_does_not_depend_on_temperature_is_judged_beside_a_runaway() -> None:
    cold = Verdict("inductance", 1e-6, Measured(1e-7, 0.0, "H/m", "feed"))
    doubted = Verdict("loss", 100.0, Measured(90.0, 1.0, "W/m"), "cannot tell")
    found = LimitsAnswer({"inductance": 1e-6, "loss": 100.0}, [cold, doubted], spoiling=["a has no stable temperature"])
    first = next(sentences(found))
    assert first == (
        "as computed this cannot be: a has no stable temperature; so no limit on loss can be said to hold; "
        "inductance holds at any temperature"
    )
    assert found.standing == "cannot tell"


def test_of_a_sweep_the_table_lists_the_worst_of_each_figure() -> None:
    """Seven frequencies, of which the fifth fails; the record keeps all."""
    rows = [
        Verdict("loss", 100.0, Measured(90.0 + 20.0 * (k == 4), 1.0, "W/m", frequency=float(k), words=f"{k} Hz"))
        for k in range(7)
    ]
    two = [Verdict("voltage_drop", 2.0, Measured(1.0, 0.0, "V", "feed", "", f, f"feed at {f:g} Hz")) for f in (1, 2)]
    answer = LimitsAnswer({"loss": 100.0, "voltage_drop": 2.0}, [*rows, *two])
    assert [row[:2] for row in table(answer).rows] == [
        ("loss", "4 Hz (worst of 7)"), ("voltage drop", "feed at 1 Hz"), ("voltage drop", "feed at 2 Hz"),
    ]  # fmt: skip
    assert table(answer).rows[0][-1] == "fail"
    assert len(record(answer)["limits"]) == 9  # type: ignore[arg-type]
