"""Rows put in order."""

import numpy as np
import pytest

from crosscurrent.meter_files.meter_file import MeterFileError, in_order


def test_rows_are_sorted_and_those_alike_their_mean() -> None:
    found = in_order("b", np.array([3e3, 1e3, 3e3, 0.0]), np.array([2 + 2j, 1j, 4 + 4j, 1]), ("first",))
    assert found.frequencies.tolist() == [1e3, 3e3]
    assert found.impedance.tolist() == [1j, 3 + 3j]
    assert found.recognised == (
        "first",
        "1 kHz to 3 kHz; 1 row without frequency or impedance above 0 left out; 1 row at a frequency given before: "
        "their mean",
    )


def test_nothing_left_is_said() -> None:
    with pytest.raises(MeterFileError, match="b: expected rows with a frequency above 0 Hz, found none; save"):
        in_order("b", np.array([np.nan]), np.array([1j]), ())


def test_too_many_rows_are_told_how_many_to_leave() -> None:
    f = np.arange(1.0, 30001.0)
    with pytest.raises(MeterFileError, match="at most 2000 rows, found 30000; take one row in 15:"):
        in_order("b", f, 1j * f, ())
