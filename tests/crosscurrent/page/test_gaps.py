"""What a board shows of a gap is what was typed, wherever the parts stand."""

import tomllib
from pathlib import Path

import numpy as np
import pytest

from crosscurrent.casefile.draft import Draft
from crosscurrent.casefile.drawings import beside
from crosscurrent.geometries.plane.neighbours import neighbouring_parts
from crosscurrent.page.edits import EditError
from crosscurrent.page.gaps import with_gap

CASES = Path("cases")


def conductor(name: str, shape: str, *more: str, at: str = '["0 mm", "0 mm"]') -> str:
    where = "" if at.startswith("place") else "centre = "
    first = "[[conductor]]", f'name = "{name}"', f'shape = "{shape}"', 'material = "copper"'
    return "\n".join((*first, where + at, *more, ""))


ROD, TUBE = ('diameter = "10 mm"',), ('diameter = "12 mm"', 'wall = "1 mm"')
BAR = ('width = "30 mm"', 'thickness = "4 mm"')
TURN = 'turn = "30 deg"'
WALL = 'place = { inside = "other", wall = "top", gap = "9 mm" }'
COAT = 'plating = [{ material = "silver", thickness = "0.02 mm" }]'
BOX = conductor("other", "box", 'width = "60 mm"', 'thickness = "50 mm"', 'wall = "3 mm"')
SLOT = ("file = 'drawings/t-slot-busbar.dxf'",)
BELOW = 'place = { below = "other", gap = "3 mm", shift = '
ASKEW = '["13 mm", "17 mm"]'
EVERY = {
    "rods askew": conductor("other", "round", *ROD) + conductor("part", "round", *ROD, COAT, at=ASKEW),
    "tube and rod": conductor("other", "tube", *TUBE) + conductor("part", "round", *ROD, at='["-9 mm", "14 mm"]'),
    "rod by a corner": conductor("other", "bar", *BAR) + conductor("part", "round", *ROD, at='["23 mm", "-14 mm"]'),
    "bars corner to corner": conductor("other", "bar", *BAR) + conductor("part", "bar", *BAR, at='["40 mm", "14 mm"]'),
    "turned bar": conductor("other", "bar", *BAR) + conductor("part", "bar", *BAR, TURN, at='["18 mm", "25 mm"]'),
    "overlapping": conductor("other", "round", *ROD) + conductor("part", "round", *ROD, at='["4 mm", "3 mm"]'),
    "drawing": conductor("other", "drawing", *SLOT) + conductor("part", "round", *ROD, at='["90 mm", "80 mm"]'),
    "rod in a box": BOX + conductor("part", "round", *ROD, at='["-15 mm", "-13 mm"]'),
    "repeated": conductor("other", "round", *ROD)
    + conductor("part", "round", *ROD, 'repeat = { count = 3, step = ["9 mm", "12 mm"] }', at='["8 mm", "11 mm"]'),
    "placed rods askew": conductor("other", "round", *ROD) + conductor("part", "round", *ROD, at=BELOW + '"6 mm" }'),
    "placed bars askew": conductor("other", "bar", *BAR) + conductor("part", "bar", *BAR, at=BELOW + '"32 mm" }'),
    "placed in a box": BOX + conductor("part", "round", *ROD, at=WALL),
}  # fmt: skip


def shown(text: str) -> float:
    """The gap that a board shows between the row and the other part."""
    rows = Draft(beside(tomllib.loads(text), CASES), None).conductors.values()
    found = neighbouring_parts([part for row in rows for part in row.envelope()])
    return min(n.gap for n in found if (n.one == "other") != (n.other == "other"))


@pytest.mark.parametrize("kind", EVERY)
def test_what_results_is_what_was_typed(kind: str) -> None:
    for typed, wanted in (("3.7 mm", 3.7e-3), ("0.25 in", 6.35e-3)):
        found = with_gap(EVERY[kind], CASES, 1, "other", typed)
        assert shown(found) == pytest.approx(wanted, abs=1e-9)
    before, after = (set(text.splitlines()) for text in (EVERY[kind], found))
    assert len(before - after) == 1  # one line


def test_rods_askew_go_along_their_line_of_centres() -> None:
    centre = tomllib.loads(with_gap(EVERY["rods askew"], CASES, 1, "other", "5 mm"))["conductor"][1]["centre"]
    found = np.array([float(word.split()[0]) for word in centre])
    np.testing.assert_allclose(found, 15.02 * np.array([13, 17]) / np.hypot(13, 17), atol=1e-6)  # 5 + 5 + 5 + a coat


def test_parts_that_face_go_along_the_axis_and_placed_ones_by_their_written_gap() -> None:
    bars = conductor("other", "bar", *BAR) + conductor("part", "bar", *BAR, at='["5 mm", "-0.3 in"]')
    assert 'centre = ["5 mm", "-7 mm"]' in with_gap(bars, CASES, 1, "other", "3 mm")
    placed = EVERY["placed rods askew"].replace('"3 mm"', '"3 mm +- 0.1 mm"')
    assert 'gap = "5 mm +- 0.1 mm", shift = "6 mm"' in with_gap(placed, CASES, 1, "other", "5 mm")
    assert 'wall = "top", gap = "5 mm"' in with_gap(EVERY["placed in a box"], CASES, 1, "other", "5 mm")


@pytest.mark.parametrize(
    ("text", "row", "other", "typed", "words"),
    [
        (EVERY["rods askew"], 1, "other", "wide", 'gap to other: expected a length .* found "wide"'),
        (EVERY["rods askew"], 1, "other", "3", 'write "3 mm" if mm is meant'),
        (EVERY["rods askew"], 1, "other", "3 mm +- 1 mm", "type it without a tolerance"),
        (EVERY["rods askew"], 1, "none", "3 mm", "none: no such part on the board"),
        (EVERY["rods askew"].replace('"10 mm"', '"10 kHz"'), 1, "other", "3 mm", "this part is at fault"),
        (EVERY["rod in a box"], 1, "other", "30 mm", "leaves no room for 30 mm"),
        (EVERY["placed rods askew"], 0, "part", "5 mm", "it goes along with this part"),
        ('symmetry = "axial"\n' + EVERY["rods askew"], 0, "part", "5 mm", "this part stands on the axis"),
    ],
)  # fmt: skip
def test_what_cannot_be(text: str, row: int, other: str, typed: str, words: str) -> None:
    with pytest.raises(EditError, match=words):
        with_gap(text, CASES, row, other, typed)
