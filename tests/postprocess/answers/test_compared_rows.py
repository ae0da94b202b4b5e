"""Rows of a comparison: who has the lowest figure, who is out, and what it costs."""

from __future__ import annotations

import math
from dataclasses import replace

from made_answers import point

from crosscurrent.postprocess.answers.chapter import Chapter, Measured
from crosscurrent.postprocess.answers.compared_rows import (
    ComparedDesign,
    ComparedFigure,
    ComparedRow,
    DesignVerdict,
    at,
    rows_of,
    shared_frequencies,
)


def test_designs_that_the_error_bars_cannot_tell_apart_are_both_best() -> None:
    best, alike, worse = (ComparedFigure(value, 1.0) for value in (100.0, 101.5, 110.0))
    row = ComparedRow("loss", "W/m", (best, alike, worse, None))
    assert row.best == (0, 1)
    assert ComparedRow("loss", "W/m", (ComparedFigure(100.0, 1.0), ComparedFigure(100.5, 1.0))).best == ()


def test_a_design_that_is_out_is_not_the_measure() -> None:
    figures = tuple(map(ComparedFigure, (1.0, 2.0, 3.0)))
    assert ComparedRow("loss", "W/m", figures, out=frozenset({0})).best == (1,)
    assert ComparedRow("loss", "W/m", figures, out=frozenset({0, 1})).best == ()


def priced(name: str, cost: float | None, error: float = 0.0, unit: str = "EUR/m", **verdict: str) -> ComparedDesign:
    figures = {"mass": (Measured(2.0, 0.0, "kg/m"),)}
    if cost is not None:
        figures["cost"] = (Measured(cost, error, unit),)
    verdict_of = DesignVerdict(**verdict) if verdict else DesignVerdict()
    return ComparedDesign(name, name, (point(50.0),), (Chapter("mass", "Mass", {}, measured=figures),), {}, verdict_of)


def costs(*designs: ComparedDesign) -> list[ComparedRow]:
    return [row for row in rows_of(designs) if row.merit == "cost"]


def test_costs_are_compared_where_all_are_known() -> None:
    (row,) = costs(priced("a", 10.0), priced("b", 12.0))
    assert row.best == (0,)
    (row,) = costs(priced("a", 10.0), priced("b", 12.0), priced("c", None))
    assert (row.figures[2], row.best) == (None, ())
    (row,) = costs(priced("a", 10.0, math.inf), priced("b", 12.0))  # a metal of it has no price
    assert (row.figures[0], row.best) == (None, ())


def test_costs_in_two_currencies_are_two_rows() -> None:
    rows = costs(priced("a", 10.0), priced("b", 9.0, unit="USD/m"))
    assert [(row.unit, row.best) for row in rows] == [("EUR/m", ()), ("USD/m", ())]


def test_a_failing_design_is_out_of_every_row() -> None:
    rows = rows_of([priced("a", 1.0, standing="fail"), priced("b", 2.0), priced("c", 3.0)])
    assert {row.out for row in rows} == {frozenset({0})}
    assert next(row for row in rows if row.merit == "cost").best == (1,)


def test_frequencies_that_all_have() -> None:
    frequencies = {"a": (50.0, 1e3), "b": (1e3, 2e3)}
    designs = [ComparedDesign(n, n, tuple(point(f) for f in fs), (), {}) for n, fs in frequencies.items()]
    assert shared_frequencies(designs) == [1e3]
    assert at(designs[0], 2e3) is None


def test_groups_that_are_only_twisted_have_a_row_of_their_own() -> None:
    """What lay adds counts in it; a design without such groups stands with its R."""
    plain, laid = point(1e3), point(1e3)
    (name, circuit), *_ = laid.circuits.items()
    assert circuit.resistance is not None
    more = 0.4 * circuit.resistance
    laid = replace(laid, circuits={**laid.circuits, name: replace(circuit, lay_resistance=more)})
    designs = [ComparedDesign(n, n, (p,), (), {}) for n, p in (("a", plain), ("b", laid))]
    row = next(row for row in rows_of(designs) if "as laid" in row.name)
    assert [f.value for f in row.figures if f] == [circuit.resistance, circuit.resistance + more]
    assert not any("as laid" in row.name for row in rows_of([designs[0], designs[0]]))


def test_of_coils_less_waste_is_better_and_the_highest_efficiency_is_not_the_worst() -> None:
    """Shares in per cent; efficiency is the rest of waste, and has no lowest that is best."""

    def coil(name: str, waste: float, power: float) -> ComparedDesign:
        figures = {
            "efficiency": (Measured(1 - waste, 1e-4, ""),), "waste": (Measured(waste, 1e-4, ""),),
            "piece_power": (Measured(power, 1.0, "W", "billet"),), "tank_voltage": (Measured(50.0, 0.1, "V"),),
        }  # fmt: skip
        chapter = Chapter("work_pieces", "Pieces", {}, measured=figures)
        return ComparedDesign(name, name, (point(50.0),), (chapter,), {}, DesignVerdict())

    rows = {row.name: row for row in rows_of([coil("a", 0.30, 900.0), coil("b", 0.45, 700.0)])}
    assert "efficiency" not in rows
    assert rows["waste"].best == (0,)
    assert (rows["waste"].unit, rows["waste"].figures[0]) == ("%", ComparedFigure(30.0, 0.01))
    assert rows["piece power"].best == ()
    assert rows["tank voltage"].best == ()


def test_no_design_is_best_where_the_lay_of_bundles_may_turn_it() -> None:
    """100 .. 125 W/m as laid, beside 110 +- 1 W/m; beside 130 W/m it is."""
    bundle = ComparedFigure(100.0, 1.0, 24.0)
    assert ComparedRow("loss", "W/m", (bundle, ComparedFigure(110.0, 1.0))).best == ()
    assert ComparedRow("loss", "W/m", (bundle, ComparedFigure(130.0, 1.0))).best == (0,)
    assert ComparedRow("loss", "W/m", (bundle, ComparedFigure(90.0, 1.0))).best == (1,)
