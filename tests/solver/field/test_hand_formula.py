"""What a hand formula says: only figures whose own error is small."""

from __future__ import annotations

from crosscurrent.solver.field.hand_formula import LARGEST, HandFormula

BOTH = HandFormula(("feed",), "plates", "a book", "A. Book, 1900", 1e-3, 1e-6, 0.01, 0.02)


def test_figures_that_are_not_sure_are_left_out() -> None:
    assert BOTH.fitting() == BOTH
    less = BOTH.less_sure(LARGEST - 0.015)
    kept = less.fitting()
    assert kept is not None
    assert (kept.resistance, kept.inductance) == (1e-3, None)
    assert (kept.resistance_error, kept.inductance_error) == (less.resistance_error, 0.0)
    assert less.less_sure(0.01).fitting() is None


def test_it_is_exact_without_an_error_of_its_own() -> None:
    assert not BOTH.exact
    assert HandFormula(("feed",), "coaxial line", "a book", "A. Book, 1900", 1e-3, 1e-6).exact
