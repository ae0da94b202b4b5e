"""Currents without a way back are told before the solve, with their amount."""

from __future__ import annotations

from typing import Any

import pytest

from crosscurrent.casefile.case import checked_case

THIRDS = {"circuit": ["L1", "L2", "L3"], "frequency": "50 Hz"}


def warnings(*back: str, **tables: Any) -> tuple[str, ...]:
    """Three phases of 100 A, with a neutral or without; further tables."""
    places = {"a": ("0 mm", "0 mm"), "b": ("20 mm", "0 mm"), "c": ("40 mm", "0 mm"), "n": ("20 mm", "20 mm")}
    rods = [
        {"name": name, "shape": "round", "diameter": "10 mm", "material": "copper", "centre": list(place)}
        for name, place in places.items()
    ]
    phases = [
        {"name": f"L{k + 1}", "current": "100 A", "phase": f"{-120 * k} deg", "out": ["abc"[k]], "back": list(back)}
        for k in range(3)
    ]
    return checked_case(
        {"frequency": {"at": ["50 Hz"]}, "conductor": rods, "circuit": phases} | tables
    ).warnings


def harmonics(*orders: tuple[int, str]) -> dict[str, Any]:
    return {"waveform": THIRDS | {"harmonics": [{"order": n, "current": amount} for n, amount in orders]}}


def test_third_harmonics_of_three_phases_have_no_way_back() -> None:
    """3 x 60 A, whether there is a fundamental beside them or not; 5 and 7 times 50 Hz sum to zero."""
    for first in ([(1, "100 A")], []):
        (said,) = warnings(**harmonics(*first, (3, "60 A"), (5, "20 A"), (7, "10 A")))
        assert said.startswith('[waveform] 150 Hz: 180.0 A have no way back: "L1", "L2", "L3" without a conductor in')


def test_the_largest_are_named_first_and_the_others_counted() -> None:
    (said,) = warnings(**harmonics((3, "1 A"), (9, "4 A"), (15, "3 A"), (21, "2 A"), (27, "0.5 A")))
    assert "450 Hz: 12.00 A, 750 Hz: 9.000 A, 1.05 kHz: 6.000 A and 2 more harmonics have" in said


def test_a_neutral_brings_them_back() -> None:
    assert warnings("n", **harmonics((1, "100 A"), (3, "60 A"))) == ()


@pytest.mark.parametrize(
    ("named", "amount"), [(["L1"], "10.00 kA"), (["L1", "L2"], "10.00 kA"), (["L1", "L2", "L3"], "")]
)
def test_a_fault_in_some_phases_has_no_way_back(named: list[str], amount: str) -> None:
    """One phase, and the sum of two that are 120 degrees apart, are as large as one; three sum to zero."""
    table = {"circuit": named, "current": "10 kA", "frequency": "50 Hz", "x_over_r": 10, "duration": "0.1 s"}
    found = warnings(fault=table)
    assert len(found) == bool(amount)
    assert all(said.startswith(f"[fault] {amount} of ") for said in found)
    assert warnings("n", fault=table) == ()
