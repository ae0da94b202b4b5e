"""What a solve takes is said beforehand."""

import logging

import pytest

from crosscurrent.solver.field.forecast import SolveError, forecast


def test_too_many_unknowns_are_refused_with_the_limit() -> None:
    with pytest.raises(SolveError, match=r"needs 2000 unknowns or more .* the limit is 1000 unknowns"):
        forecast(2000, 1, 1000)


def test_a_long_solve_is_announced_and_a_short_one_is_not(caplog: pytest.LogCaptureFixture) -> None:
    with caplog.at_level(logging.INFO, logger="crosscurrent"):
        forecast(1000, 1, 300_000)
        assert not caplog.records
        forecast(250_000, 2, 300_000)
    assert "250000 unknowns with 2 conductors" in caplog.text


def test_it_is_the_builtin_error_too() -> None:
    assert issubclass(SolveError, ValueError)
