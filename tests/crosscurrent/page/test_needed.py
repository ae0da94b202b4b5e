"""Fields that are emptied: what a design needs stays, at fault at its line."""

from pathlib import Path

import pytest

from crosscurrent.casefile.faults import CaseError
from crosscurrent.casefile.reader import case_of
from crosscurrent.page.board import Board
from crosscurrent.page.needed import is_needed
from crosscurrent.page.words import SetValue, Write

TEXT = """[named]
wide = "40 mm"
[frequency]
at = ["85 kHz"]
[[conductor]]
name = "bar"
shape = "bar"
width = "wide"  # of stock
thickness = "5 mm"
edge_radius = "1 mm"
centre = ["0 mm", "9 mm"]
material = "copper"
[[conductor]]
name = "tube"
shape = "tube"
diameter = "12 mm"
wall = "1 mm"
place = {below = "bar", gap = "3 mm", align = "left"}
material = "copper"
[[circuit]]
name = "feed"
current = "100 A"
out = ["bar"]
back = ["tube"]
"""


@pytest.mark.parametrize(
    ("place", "told"),
    [
        (["conductor", 0, "width"], "line 8, key width: expected a length"),
        (["conductor", 0, "centre", 0], "line 11, key centre x: expected a coordinate"),
        (["conductor", 1, "wall"], "line 17, key wall: expected a length"),
        (["conductor", 1, "place", "gap"], "line 18, key place gap: expected a length"),
        (["conductor", 1, "place", "below"], "line 18, key place below: expected the name of another conductor"),
        (["named", "wide"], "line 8, key width: expected a length"),
    ],
)
def test_what_is_needed_stays_with_its_fault(place: list[str | int], told: str) -> None:
    board = Board(text=TEXT)
    board.edit(SetValue(do="set", place=place, value=""), {})
    assert len(board.text.splitlines()) == len(TEXT.splitlines())
    assert board.text.count('""') == 1
    with pytest.raises(CaseError) as caught:
        case_of(board.text.encode(), Path("bar.toml"))
    assert any(f"line {f.line}, key {f.key}: expected {f.expected}".startswith(told) for f in caught.value.faults)


@pytest.mark.parametrize("place", [["conductor", 0, "edge_radius"], ["conductor", 1, "place", "align"], ["title"]])
def test_what_can_be_left_out_goes(place: list[str | int]) -> None:
    assert not is_needed(TEXT, place)


def test_an_emptied_wall_goes_once_the_bore_is_known() -> None:
    board = Board(text=TEXT)
    board.edit(Write(do="write", place=["conductor", 1, "wall"], toml=" "), {})
    assert 'wall = ""' in board.text
    board.edit(Write(do="write", place=["conductor", 1, "bore"], toml='"10 mm"'), {})
    assert "wall" not in board.text
    case_of(board.text.encode(), Path("bar.toml"))
