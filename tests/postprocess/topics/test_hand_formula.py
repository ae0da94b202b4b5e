"""Words of the check by hand: one line for all that share a formula."""

from __future__ import annotations

from dataclasses import replace

import pytest

from crosscurrent.postprocess.topics.hand_formula import HandComparison, record, sentences, table
from crosscurrent.solver.field.hand_formula import HandFormula

NEAR = HandFormula(("feed",), "two wires", "Book 1900", "A. Book, 1900", 0.99e-3, 1.02e-6, 0.015, 0.03)
EXACT = HandFormula(("feed",), "coaxial line", "Book 1900", "A. Book, 1900", 1e-3, 1e-6)


def beside(formula: HandFormula, frequency: float = 50.0, resistance: float = 1e-3) -> HandComparison:
    return HandComparison(frequency, formula, resistance, 1e-4, 1e-6, 1e-4)


def test_differences_are_those_of_the_formula() -> None:
    found = [beside(NEAR)]
    row = record(found)["circuits"][0]
    assert row["resistance_difference"] == pytest.approx(-0.01)
    assert row["inductance_difference"] == pytest.approx(0.02)
    assert (row["source"], row["resistance_formula_error"], row["agrees"]) == ("A. Book, 1900", 0.015, True)
    assert table(found).rows[0][4::3] == ("-1.0 %", "+2.0 %")
    assert sentences(found) == ["feed at 50 Hz: two wires (Book 1900), good to 3 %: R -1.0 %, L +2.0 %"]


def test_several_frequencies_give_a_range_in_one_line() -> None:
    (said,) = sentences([beside(NEAR), beside(NEAR, 60.0, 0.98e-3)])
    assert said == "feed from 50 Hz to 60 Hz: two wires (Book 1900), good to 3 %: R -1.0 to +1.0 %, L +2.0 %"
    assert len(said) < 120


def test_a_figure_that_the_formula_does_not_know_is_left_out() -> None:
    phases = replace(NEAR, circuits=("L1", "L2", "L3"), resistance=None, resistance_error=0.0)
    assert sentences([beside(phases)]) == ["L1, L2, L3 at 50 Hz: two wires (Book 1900), good to 3 %: L +2.0 %"]
    assert table([beside(phases)]).rows[0][3:5] == ("-", "-")
    assert record([beside(phases)])["circuits"][0]["resistance_formula_error"] is None


def test_more_than_its_own_error_is_said() -> None:
    far = beside(NEAR, resistance=1.1e-3)
    assert not far.agrees
    assert sentences([far])[0].endswith("R -10.0 %, L +2.0 %, more than that and the bar together")


def test_an_exact_formula_is_told_as_such() -> None:
    found = beside(EXACT, resistance=1e-3 * (1 + 1e-5))
    assert found.agrees  # within the bar
    assert sentences([found]) == ["feed at 50 Hz: coaxial line (Book 1900), exact: R -0.0010 %, L < 0.0001 %"]
    assert not beside(EXACT, resistance=1e-3 * (1 + 1e-3)).agrees


def test_an_answer_below_its_bar_is_none_beside_the_formula() -> None:
    unsure = replace(beside(NEAR), resistance_bar=1.5, inductance_bar=1.5)
    assert table([unsure]).rows[0][2:7:3] == ("none", "none")
