"""A half-faulty case: what of it is sound, and where the rest stands."""

from __future__ import annotations

from typing import Any

import pytest

from crosscurrent.casefile.draft import Draft, rows
from crosscurrent.casefile.lines import LineIndex
from crosscurrent.solver.metals.materials import MATERIALS

GOOD = {"name": "a", "shape": "round", "diameter": "6 mm", "material": "copper"}
MISFIT = {"name": "c", "shape": "tube", "diameter": "6 mm", "wall": "4 mm", "material": "copper"}
DATA: dict[str, Any] = {
    "conductor": [GOOD, GOOD | {"name": "b", "diameter": "6 kHz"}, MISFIT, "no table"],
    "circuit": [{"name": "feed", "current": "1 A", "out": ["a"]}, {"name": "other"}],
    "material": {"my": {"conductivity": "30 MS/m"}, "bad": {"conductivity": "30 mm"}},
}


def test_sound_tables_keep_their_places() -> None:
    draft = Draft(DATA, None)
    assert {k: row.name for k, row in draft.conductors.items()} == {0: "a", 2: "c"}
    assert {k: row.name for k, row in draft.circuits.items()} == {0: "feed"}


def test_metals_are_the_built_in_ones_and_the_sound_ones_of_the_file() -> None:
    metals = Draft(DATA, None).materials
    assert metals.keys() - MATERIALS.keys() == {"my"}
    assert metals["my"].conductivity == 30e6


def test_a_conductor_whose_dimensions_do_not_fit_has_no_part() -> None:
    assert [part.name for part in Draft(DATA, None).parts()] == ["a"]


@pytest.mark.parametrize("written", [3, "text", {"name": "x"}, None])
def test_what_is_no_list_of_tables_has_no_rows(written: object) -> None:
    assert len(rows({"conductor": written}, "conductor")) == 0
    draft = Draft({"conductor": written, "circuit": written, "material": written}, None)
    assert (draft.conductors, draft.circuits, draft.parts()) == ({}, {}, ())
    if not isinstance(written, dict):
        assert draft.materials == MATERIALS


def test_a_fault_has_the_line_of_its_key_or_none_in_python() -> None:
    text = '[[conductor]]\nname = "a"\nwidth = "6 mm"\n'
    data = {"conductor": [{"name": "a", "width": "6 mm"}]}
    path = ("conductor", 0, "width")
    assert str(Draft(data, LineIndex(text)).fault(path, "x", "y", "z")) == (
        'line 3, conductor "a", key width: expected x, found y; z'
    )
    assert Draft(data, None).fault(path, "x", "y", "z").line is None
