"""Sizes of bundles that cannot be: the key that is to change, and the largest number that fits."""

from __future__ import annotations

import math

import pytest

import crosscurrent as cc
from crosscurrent.casefile.faults import CaseError


def refused(**keys: object) -> tuple[str, str, str]:
    with pytest.raises(CaseError) as caught:
        cc.bundle("lead", material="copper", **({"strand_diameter": "0.1 mm"} | keys))  # type: ignore[arg-type]
    (one,) = caught.value.faults
    return one.key, one.expected, one.found


def test_no_more_than_touch_in_an_area() -> None:
    """pi / (2 sqrt 3) of the plane is the densest packing of circles (L. Fejes Toth, 1940), pi / 4 that of a square."""
    most = int(math.pi / (2 * math.sqrt(3)) * (3 / 0.12) ** 2)
    key, expected, found = refused(strands=most + 1, insulated_diameter="0.12 mm", outer_diameter="3 mm")
    assert (key, found) == ("strands", f"{most + 1}")
    assert expected.startswith(f"at most {most} strands of 0.12 mm")
    cc.bundle("lead", material="copper", strand_diameter="0.1 mm", strands=most, insulated_diameter="0.12 mm",
              outer_diameter="3 mm")  # fmt: skip
    slot = {"width": "1.2 mm", "thickness": "1.2 mm", "layout": "square"}
    found = refused(strands=101, insulated_diameter="0.12 mm", **slot)
    densest = "at most 100 strands of 0.12 mm with insulation, square and touching"
    assert found[1] == f"{densest}, what its edge wastes left out of account"


def test_no_more_of_few_than_lie_in_a_circle() -> None:
    """Seven circles lie in one of three times their diameter, nineteen in one of five."""
    assert refused(strands=8, insulated_diameter="0.12 mm", outer_diameter="0.36 mm")[1].startswith("at most 7 ")
    assert refused(strands=20, insulated_diameter="0.12 mm", outer_diameter="0.60 mm")[1].startswith("at most 19 ")
    cc.bundle("lead", material="copper", strand_diameter="0.1 mm", strands=19, insulated_diameter="0.12 mm",
              outer_diameter="0.6 mm")  # fmt: skip


def test_askew_strands_take_more_room_than_their_metal_has() -> None:
    key, expected, _ = refused(construction="200", insulated_diameter="0.1 mm", pitch="0.1 mm", take_up=1.25)
    assert key == "construction"
    assert expected.startswith("at most 159 strands")  # 200 / 1.25, less a hair


def test_thick_strands() -> None:
    found = refused(strands=420, strand_diameter="2 mm", insulated_diameter="2.1 mm", outer_diameter="2 mm")
    assert found == ("strand_diameter", "a strand thinner than its bundle of 2 mm", "2.1 mm with its insulation")
