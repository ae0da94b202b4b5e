"""A figure beside its limit: digits that tell them apart, the bar of the figure."""

from __future__ import annotations

import math

import pytest

from crosscurrent.postprocess.answers.chapter import Measured
from crosscurrent.postprocess.answers.limits import Verdict
from crosscurrent.postprocess.topics.limits_shown import change, in_words, shown, table_bar


def verdict(value: float, error: float, allowed: float, unit: str) -> Verdict:
    return Verdict("limit", allowed, Measured(value, error, unit))


@pytest.mark.parametrize(
    ("value", "error", "allowed", "unit", "texts"),
    [
        (98.04, 0.0, 98.0, "degC", ("98.04 degC", "98.00 degC", "")),
        (90.0, 5.0, 98.0, "degC", ("90.0 degC", "98.0 degC", "5.0 K")),
        (97.96, 0.039, 98.0, "degC", ("97.9600 degC", "98.0000 degC", "0.0390 K")),
        (100.04, 0.02, 100.0, "W/m", ("100.04 W/m", "100.00 W/m", "0.02 W/m")),
        (999.96, 0.5, 1000.0, "W/m", ("0.99996 kW/m", "1.00000 kW/m", "0.00050 kW/m")),
        (1e-3, 1e-5, 5.0, "W/m", ("1.000 mW/m", "5.000 W/m", "10 uW/m")),
        (0.9775, 1e-3, 1.0, "kg/m", ("0.9775 kg/m", "1.000 kg/m", "0.001 kg/m")),
        (100.0, 0.0, 100.0, "N/m", ("100.0 N/m", "100.0 N/m", "")),
        (0.0, 0.0, 100.0, "N/m", ("none", "100.0 N/m", "")),
        (1e-9, 1e-6, 100.0, "N/m", ("none", "100.0 N/m", "1 uN/m")),
    ],
)
def test_digits_tell_figure_and_limit_apart(
    value: float, error: float, allowed: float, unit: str, texts: tuple[str, str, str]
) -> None:
    found = shown(verdict(value, error, allowed, unit))
    assert (found.value, found.allowed, found.bar) == texts


def test_the_figures_as_written_say_what_the_verdict_says() -> None:
    """Rounded as they stand there, bar included, for figures ever closer to the limit."""
    for k in range(1, 7):
        for sign in (1, -1):
            for share in (0.0, 0.3, 0.95, 1.05, 3.0):
                margin = 10.0**-k
                one = verdict(98.0 - sign * margin, share * margin, 98.0, "degC")
                value, allowed, bar = (float((t or "0").split()[0]) for t in (
                    shown(one).value, shown(one).allowed, shown(one).bar))  # fmt: skip
                rounded = verdict(value, bar, allowed, "degC")
                assert rounded.standing == one.standing


def test_what_is_not_known_has_no_digits() -> None:
    endless, unknown = verdict(math.inf, 0.0, 90.0, "degC"), verdict(math.inf, math.inf, 90.0, "degC")
    assert [shown(v).value for v in (endless, unknown)] == ["no end", "not known"]
    assert [shown(endless).margin, table_bar(endless), in_words(endless, 90.0)] == ["-", "-", "90.0 degC"]


def test_bars_and_changes_of_temperatures_are_kelvin() -> None:
    one = verdict(80.0, 2.0, 90.0, "degC")
    assert (table_bar(one), change(one, 3.21)) == ("2.0 K", "3.2 K")
    assert table_bar(verdict(80.0, 0.8, 90.0, "W/m")) == "1 %"
