"""Enamel that is too hot, in a case: as stated, by its current in air, after a fault."""

from __future__ import annotations

from typing import Any

import pytest
from topic_cases import solved_bars

import crosscurrent as cc

LEAD = {"name": "a", "shape": "bundle", "strands": 420, "strand_diameter": "0.1 mm", "material": "copper"}
RAIL = {"name": "b", "shape": "round", "diameter": "8 mm", "centre": ["40 mm", "0 mm"], "material": "copper"}
FEW = {"strands": 7, "strand_diameter": "0.8 mm"}


def _warned(current: str, lead: dict[str, object], **more: Any) -> list[str]:
    """What is said of enamel."""
    feed = {"name": "feed", "current": current, "out": ["a"], "back": ["b"]}
    rail = RAIL | {"temperature": more.pop("stated", "20 degC")}
    same = {"frequency": {"at": ["50 Hz"]}, "circuit": [feed], "conductor": [LEAD | lead, rail]}
    found: cc.Result = solved_bars(**same, **more)
    return [text for text in found.chapter("bundles").warnings if "enamel" in text]


@pytest.mark.parametrize("shape", [{}, FEW])
def test_stated(shape: dict[str, object]) -> None:
    (line,) = _warned("1 A", shape | {"temperature": "900 degC"})
    assert line.startswith('the strands of "a" are at 900.0 degC (as stated): more than enamel of the usual class 155')
    assert not _warned("1 A", shape | {"temperature": "155 degC"}, stated="900 degC")


def test_nobody_knows_what_an_insulated_diameter_is_of() -> None:
    assert not _warned("1 A", {"temperature": "900 degC", "insulated_diameter": "0.12 mm"})


@pytest.mark.parametrize("shape", [{}, FEW])
def test_in_air(shape: dict[str, object]) -> None:
    """The stated temperature is where the search begins, no more."""
    assert not _warned("5 A", shape | {"temperature": "200 degC"}, cooling={"ambient": "30 degC"})
    (line,) = _warned("60 A", shape, cooling={"ambient": "30 degC"})
    assert "(steady, 50 Hz)" in line


def test_after_a_fault() -> None:
    """143 A s^0.5/mm2 take copper from 30 to 250 degC, 1 s of 200 A/mm2 far above 350 (IEC 60364-5-54, from memory)."""
    fault = {"current": "660 A", "form": "step", "duration": "1 s"}
    (line,) = _warned("1 A", {}, fault=fault)
    assert "(after [fault]): more than the 350 degC" in line
    assert not _warned("1 A", {}, fault=fault | {"current": "470 A"})
