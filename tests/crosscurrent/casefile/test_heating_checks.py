"""[[heating]] against the conductors of its case."""

from __future__ import annotations

from typing import Any

import pytest

from crosscurrent.casefile.case import Case, checked_case
from crosscurrent.casefile.faults import CaseError

TURN = {"name": "turn", "shape": "round", "diameter": "6 mm", "material": "copper", "centre": ["30 mm", "0 mm"]}
BILLET = {"name": "billet", "shape": "bar", "width": "20 mm", "thickness": "40 mm", "material": "copper"}
LITZ = {
    "name": "litz", "shape": "bundle", "strands": 100, "strand_diameter": "0.2 mm", "material": "copper",
    "centre": ["50 mm", "0 mm"],
}  # fmt: skip


def made(*heated: str, material: dict[str, Any] | None = None, more: tuple[dict[str, Any], ...] = ()) -> Case:
    billet = BILLET | ({"material": "own"} if material else {})
    return checked_case(
        {
            "symmetry": "axial",
            "frequency": {"at": ["10 kHz"]},
            "conductor": [TURN, billet, *more],
            "circuit": [{"name": "coil", "current": "1 A", "out": ["turn"]}],
            "heating": [{"piece": piece, "time": "10 s"} for piece in heated],
            **({"material": {"own": material}} if material else {}),
        }
    )


def test_a_solid_piece_of_known_metal_is_followed() -> None:
    assert [row.piece for row in made("billet").data.heating] == ["billet"]


@pytest.mark.parametrize(
    ("heated", "more", "said"),
    [
        (("bilet",), (), r'expected the name of a conductor, found "bilet"; did you mean "billet"'),
        (("billet", "billet"), (), r'each conductor once, found "billet" a second time'),
        (
            ("ring.*",),
            (TURN | {"name": "ring", "centre": ["40 mm", "0 mm"], "repeat": {"count": 2, "step": ["0 mm", "9 mm"]}},),
            r'one conductor, found "ring\.\*", which are 2',
        ),
        (("litz",), (LITZ,), r'a solid conductor, found "litz", a bundle of strands'),
    ],
)
def test_what_cannot_be_followed(heated: tuple[str, ...], more: tuple[dict[str, Any], ...], said: str) -> None:
    with pytest.raises(CaseError, match=said):
        made(*heated, more=more)


@pytest.mark.parametrize("missing", ["density", "heat_capacity"])
def test_what_a_degree_takes_must_be_known(missing: str) -> None:
    metal = {"conductivity": "10 MS/m", "density": "8000 kg/m3", "heat_capacity": "400 J/(kg*K)"}
    assert made("billet", material=metal)
    del metal[missing]
    with pytest.raises(CaseError, match=rf"of own, whose {missing} nobody says; write {missing} under"):
        made("billet", material=metal)
