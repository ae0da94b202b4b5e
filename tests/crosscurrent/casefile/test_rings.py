"""Pieces round an axis that may be other than what was meant are told before the solve."""

from __future__ import annotations

from typing import Any

import pytest

from crosscurrent.casefile.case import checked_case

PIECE = {"name": "piece", "material": "copper"}
BESIDE = {**PIECE, "shape": "bar", "width": "4 mm", "thickness": "50 mm", "centre": ["30 mm", "0 mm"]}
ACROSS = {**PIECE, "shape": "box", "width": "60 mm", "thickness": "50 mm", "wall": "4 mm"}


def warnings(piece: dict[str, Any], **more: Any) -> tuple[str, ...]:
    """A piece in a turn."""
    turn = {"name": "turn", "shape": "round", "diameter": "6 mm", "centre": ["45 mm", "0 mm"], "material": "copper"}
    coil = {"name": "work", "turns": ["turn"], "current": "10 A"}
    tables = {"frequency": {"at": ["10 kHz"]}, "conductor": [piece, turn], "coil": [coil], "symmetry": "axial"}
    return checked_case(tables | more).warnings


def test_metal_that_nobody_said_is_cut() -> None:
    (said,) = warnings(BESIDE)
    assert said.startswith("piece: in no circuit and off the axis, this is taken as cut")
    assert warnings(BESIDE | {"closed": True}) == warnings(BESIDE | {"closed": False}) == ()


def test_a_vessel_is_not_a_pipe() -> None:
    (said,) = warnings(ACROSS)
    assert said.startswith("piece: a box across the axis is a closed vessel")


@pytest.mark.parametrize(
    "piece",
    [
        {**PIECE, "shape": "bar", "width": "60 mm", "thickness": "50 mm"},
        {**BESIDE, "material": "core"},
        {**ACROSS, "shape": "channel", "height": "50 mm", "width": "60 mm", "thickness": "4 mm", "wall": None},
    ],
    ids=["billet", "ferrite", "cup"],
)
def test_nothing_is_said_of_what_is_clear(piece: dict[str, Any]) -> None:
    ferrite = {"core": {"conductivity": "0 MS/m", "permeability": 2000}}
    assert warnings({key: value for key, value in piece.items() if value}, material=ferrite) == ()
