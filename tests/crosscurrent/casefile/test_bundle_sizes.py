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


def test_no_more_than_a_lattice_holds() -> None:
    """Of 25 strand diameters: no more than Groemer's bound for the circle of the middles (Math. Z. 73, 1960)."""
    reached = (3 / 0.12 - 1) / 2
    bound = 2 / math.sqrt(3) * math.pi * reached**2 + math.pi * reached + 1
    key, expected, found = refused(strands=600, insulated_diameter="0.12 mm", outer_diameter="3 mm")
    most = int(expected.split()[2])
    assert (key, found) == ("strands", "600")
    assert 2 / math.sqrt(3) * math.pi * reached**2 <= most <= bound
    assert expected == (
        f"at most {most} strands of 0.12 mm with insulation in a circle of 3 mm, in the densest rows or lattice"
    )
    slot = {"width": "1.2 mm", "thickness": "1.2 mm", "layout": "square"}
    found = refused(strands=101, insulated_diameter="0.12 mm", **slot)
    in_a_bar = "at most 100 strands of 0.12 mm with insulation in a bar of 1.2 mm x 1.2 mm"
    assert found[1] == f"{in_a_bar}, in a square lattice"


def test_no_more_of_few_than_lie_in_a_circle() -> None:
    """Seven circles lie in one of three times their diameter, nineteen in one of five."""
    assert refused(strands=8, insulated_diameter="0.12 mm", outer_diameter="0.36 mm")[1].startswith("at most 7 ")
    assert refused(strands=20, insulated_diameter="0.12 mm", outer_diameter="0.60 mm")[1].startswith("at most 19 ")
    cc.bundle("lead", material="copper", strand_diameter="0.1 mm", strands=19, insulated_diameter="0.12 mm",
              outer_diameter="0.6 mm")  # fmt: skip


def test_askew_strands_take_more_room_than_their_metal_has() -> None:
    key, expected, _ = refused(construction="200", insulated_diameter="0.1 mm", pitch="0.1 mm", take_up=1.25)
    assert key == "pitch"
    assert expected == "at least 0.1119 mm with a take-up of 1.25"  # 0.1 mm x sqrt(1.25), up


def test_thick_strands() -> None:
    found = refused(strands=420, strand_diameter="2 mm", insulated_diameter="2.1 mm", outer_diameter="2 mm")
    assert found == ("strand_diameter", "a strand thinner than its bundle of 2 mm", "2.1 mm with its insulation")
