"""One edit changes one line; what cannot be changed is said."""

import difflib
import tomllib
from pathlib import Path

import pytest

from crosscurrent.page import edits
from crosscurrent.page.edits import EditError

TEXT = Path("cases/feed-facing.toml").read_text(encoding="utf-8")


def changes(before: str, after: str) -> list[str]:
    """Lines that differ."""
    return [line for line in difflib.ndiff(before.splitlines(), after.splitlines()) if line[0] in "+-"]


def test_a_value_changes_its_line_only() -> None:
    found = edits.with_value(TEXT, ("conductor", 0, "width"), "80 mm")
    assert changes(TEXT, found) == ['- width = "100 mm"', '+ width = "80 mm"']


def test_an_empty_value_takes_the_key_out() -> None:
    assert changes(TEXT, edits.with_value(TEXT, ("conductor", 1, "edge_radius"), "")) == ['- edge_radius = "0.5 mm"']


def test_entries_of_lists() -> None:
    found = edits.with_value(TEXT, ("conductor", 0, "centre", 1), "4 mm")
    assert changes(TEXT, found) == ['- centre = ["0 mm", "3.5 mm"]', '+ centre = ["0 mm", "4 mm"]']


def test_a_table_that_is_not_there_is_made() -> None:
    assert '\n\n[limits]\nloss = "600 W/m"' in edits.with_written(TEXT, ("limits", "loss"), "600 W/m")
    assert "[[water]]\nbends = 2" in edits.with_written(TEXT, ("water", 0, "bends"), "2")


def test_values_as_they_stand_in_a_case_file() -> None:
    assert 'at = ["50 Hz", "1 kHz"]' in edits.with_written(TEXT, ("frequency", "at"), '["50 Hz", "1 kHz"]')


def test_conductors_come_and_go() -> None:
    more = edits.with_conductor(TEXT, "tube", ("0 mm", "20 mm"))
    assert more.startswith(TEXT.rstrip("\n").split("[[circuit]]")[0])
    assert 'name = "tube"\nshape = "tube"' in more
    twice = edits.with_copy(more, 2, ("0 mm", "40 mm"), "left-right")
    assert 'name = "tube-2"' in twice
    assert 'mirrored = "left-right"' in twice
    fewer = edits.without_conductor(twice, 3)
    assert "tube-2" not in fewer


def test_circuits_forget_what_is_gone() -> None:
    found = edits.without_conductor(TEXT, 1)
    assert "back = []" in found
    assert "[[circuit]]" not in edits.without_conductor(found, 0)


def test_a_shape_follows_when_all_are_gone() -> None:
    bare = edits.without_conductor(edits.without_conductor(TEXT, 1), 0)
    for text in (bare, "conductor = []\n" + bare):
        rows = tomllib.loads(edits.with_conductor(text, "tube", ("0 mm", "0 mm")))["conductor"]
        assert [(row["name"], row["shape"]) for row in rows] == [("tube", "tube")]


def test_directions() -> None:
    more = edits.with_conductor(TEXT, "bar", ("0 mm", "20 mm"))
    out = edits.with_direction(more, 2, "feed", "out")
    assert 'out = ["outgoing", "bar"]' in out
    assert 'back = ["return", "bar"]' in edits.with_direction(out, 2, "feed", "back")
    assert 'name = "other"\ncurrent = "100 A"' in edits.with_direction(more, 2, "other", "out")
    assert edits.with_direction(out, 2, "feed", "") == more


def test_one_of_those_that_a_row_is_repeated_to() -> None:
    text = '[[conductor]]\nname = "L"\n\n[[circuit]]\nname = "all"\nout = ["L"]\n'
    alike = ("L.1", "L.2", "L.3")
    found = edits.with_direction(text, 0, "all", "back", part="L.2", alike=alike)
    assert changes(text, found) == ['- out = ["L"]', '+ out = ["L.1", "L.3"]', '+ back = ["L.2"]']
    assert 'out = ["L.1"]' in edits.with_direction(found, 0, "all", "", part="L.3", alike=alike)


def test_another_name_stands_wherever_the_old_one_did() -> None:
    found = edits.with_name(TEXT, 0, "supply")
    assert changes(TEXT, found) == [
        '- name = "outgoing"', '+ name = "supply"', '- out = ["outgoing"]', '+ out = ["supply"]',
    ]  # fmt: skip
    placed = TEXT.replace('centre = ["0 mm", "-3.5 mm"]', 'place = { below = "outgoing", gap = "1 mm" }')
    assert 'place = { below = "supply", gap = "1 mm" }' in edits.with_name(placed, 0, "supply")


@pytest.mark.parametrize(
    ("text", "place", "words"),
    [
        ("width = ", ("width",), "the text is no TOML yet"),
        (TEXT, ("conductor", 9, "width"), "conductor 10: no such place in the text"),
        (TEXT, ("conductor", 0, "centre", 5), "conductor 1 centre 6: no such entry"),
    ],
)
def test_what_cannot_be_changed(text: str, place: tuple[str | int, ...], words: str) -> None:
    with pytest.raises(EditError, match=words):
        edits.with_value(text, place, "1 mm")


def test_no_such_shape() -> None:
    with pytest.raises(EditError, match="no such shape to start from: star"):
        edits.with_conductor(TEXT, "star", ("0 mm", "0 mm"))
