"""Numbers as engineers write them: prefixes and digits at the edges, bars rounded up."""

from __future__ import annotations

import math

import numpy as np
import pytest

from crosscurrent.postprocess.answers.units import (
    concise,
    engineering,
    error_bar,
    frequency_tag,
    in_mm_and_thou,
    together,
)

PREFIX = {"f": 1e-15, "p": 1e-12, "n": 1e-9, "u": 1e-6, "m": 1e-3, "": 1.0, "k": 1e3, "M": 1e6, "G": 1e9, "T": 1e12}


@pytest.mark.parametrize(
    ("value", "said"),
    [
        (999.89, "999.9 W"),
        (999.94, "999.9 W"),
        (999.96, "1.000 kW"),  # never "1000.0 W"
        (-999.96, "-1.000 kW"),
        (0.99996, "1.000 W"),
        (9.9996, "10.00 W"),
        (1e-15, "1.000 fW"),
        (1e15, "1000 TW"),  # beyond the last prefix
        (0.0, "0 W"),
        (math.inf, "inf W"),
        (None, "-"),
    ],
)
def test_engineering_at_the_edges(value: float | None, said: str) -> None:
    assert engineering(value, "W") == said


@pytest.mark.parametrize(
    ("value", "unit", "said"),
    [
        (0.9775, "kg/m", "977.5 g/m"),
        (0.99996, "kg/m", "1.000 kg/m"),
        (2.5, "kg/m", "2.500 kg/m"),
        (12345.0, "kg", "12345 kg"),  # no megagrams
        (4e-6, "kg/m", "4.000 mg/m"),
        (0.0, "kg/m", "0 kg/m"),
        (27e-6, "T", "27.00 uT"),
        (1e-3, "T", "1000 uT"),  # Directive 2013/35/EU has levels in uT up to 6 mT: annex II, table B2, from memory
        (0.4e-6, "T", "0.4000 uT"),
        (50e-9, "T", "50.00 nT"),
        (0.05, "T", "50.00 mT"),
    ],
)
def test_prefixes_as_the_trade_has_them(value: float, unit: str, said: str) -> None:
    assert engineering(value, unit) == said


def test_masses_of_one_column_have_one_prefix() -> None:
    assert together([0.9775, 2.5], "kg/m") == ["0.9775 kg/m", "2.500 kg/m"]
    assert together([2e-6, 0.01], "T") == ["2.000 uT", "10.00 mT"]
    assert together([0.9e-3, 2e-3], "T") == ["900.0 uT", "2000 uT"]
    assert concise(27e-6, "T") == "27 uT"


def test_engineering_is_right_to_its_last_digit_and_has_one_to_three_digits_before_the_point() -> None:
    for value in np.random.default_rng(3).uniform(1, 10, 300) * 10.0 ** np.random.default_rng(4).integers(-14, 14, 300):
        number, unit = engineering(float(value), "A").split()
        assert float(number) * PREFIX[unit[:-1]] == pytest.approx(value, rel=5.1e-4)
        assert 1 <= float(number) < 1000
        assert len(number.replace(".", "")) == 4


def test_a_column_takes_one_prefix_up_to_a_decade() -> None:
    assert together([100.0, 1000.0], "A") == ["0.1000 kA", "1.000 kA"]
    assert together([99.0, 1000.0], "A") == ["99.00 A", "1.000 kA"]


def test_concise_says_no_more_than_was_stated() -> None:
    assert [concise(v, "Hz") for v in (50.0, 13.56e6, 1e3, 100e3)] == ["50 Hz", "13.56 MHz", "1 kHz", "100 kHz"]


@pytest.mark.parametrize(
    ("relative", "said"),
    [(0.01, "1 %"), (0.0101, "2 %"), (0.095, "10 %"), (1e-6, "0.0001 %"), (0.9e-6, "< 0.0001 %"), (0.0, "0 %"),
     (None, "-"), (2.5, "300 %")],
)  # fmt: skip
def test_error_bars_have_one_digit_rounded_up(relative: float | None, said: str) -> None:
    assert error_bar(relative) == said


def test_an_error_bar_never_says_less_than_the_bound() -> None:
    for relative in 10.0 ** np.random.default_rng(5).uniform(-5.9, 0, 300):
        percent = float(error_bar(float(relative)).split()[0])
        assert 100 * relative * (1 - 1e-8) <= percent <= 200 * relative * (1 + 1e-8)


def test_lengths_and_file_names() -> None:
    assert in_mm_and_thou(0.0254) == "25.4 mm (1 in)"
    assert in_mm_and_thou(0.0253) == "25.3 mm (996 thou)"
    assert in_mm_and_thou(1.5) == "1500 mm (59.1 in)"
    assert frequency_tag(1.0) == "1Hz"
