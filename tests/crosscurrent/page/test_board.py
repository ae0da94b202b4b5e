"""The state of a board: steps back and forward, moves of the hand, pinned designs."""

from pathlib import Path

import pytest

from crosscurrent.casefile.reader import case_of
from crosscurrent.page.board import NEW, Board
from crosscurrent.page.edits import EditError
from crosscurrent.page.view import scene
from crosscurrent.page.words import Add, Carry, Copy, Delete, Move, SetText, SetValue, Write

PATH = Path("section.toml")
PLACED = NEW.replace('centre = ["0 mm", "-4 mm"]', 'place = { below = "outgoing", gap = "3 mm +- 0.1 mm" }')


def seen(board: Board) -> dict[str, object]:
    return scene(case_of(board.text.encode(), PATH))


def move(row: int, x: float, y: float, *, end: bool = True, near: float = 0.0, grid: float = 0.0) -> Move:
    return Move(do="move", row=row, by=(x, y), near=near, grid=grid, end=end)


def test_a_new_board_holds_a_case() -> None:
    assert [p["name"] for p in seen(Board())["parts"]] == ["outgoing", "return"]  # type: ignore[attr-defined]


def test_steps_back_and_forward() -> None:
    board = Board()
    board.edit(SetValue(do="set", place=["conductor", 0, "width"], value="50 mm"), {})
    board.edit(SetText(do="text", text=board.text + "# seen\n", revision=board.revision), {})
    board.undo()
    board.undo()
    assert (board.text, board.revision) == (NEW, 4)
    board.undo()
    assert board.revision == 4
    board.redo()
    assert 'width = "50 mm"' in board.text
    board.edit(Write(do="write", place=["limits", "loss"], toml="5 W/m"), {})
    board.redo()
    assert 'loss = "5 W/m"' in board.text  # what was ahead is gone


def test_a_move_is_one_step() -> None:
    board = Board()
    at = seen(board)
    for k in range(1, 5):
        board.edit(move(0, 1e-3 * k, 0, end=False), at)
    board.edit(move(0, 5e-3, 2e-3), at)
    assert 'centre = ["5 mm", "6 mm"]' in board.text
    board.undo()
    assert board.text == NEW


def test_a_placed_part_moves_by_its_gap_and_shift() -> None:
    board = Board(text=PLACED)
    board.edit(move(1, 2e-3, -1e-3), seen(board))
    assert 'gap = "4 mm +- 0.1 mm"' in board.text
    assert 'shift = "2 mm"' in board.text
    assert case_of(board.text.encode(), PATH).problem().conductors[1].part.bounds[1, 1] == pytest.approx(-2.5e-3)


def test_what_a_name_holds_is_not_dragged() -> None:
    board = Board(text=PLACED + '\n[named]\ngap = "3 mm"\n')
    board.text = board.text.replace('"3 mm +- 0.1 mm"', '"gap"')
    with pytest.raises(EditError, match=r'"gap" is a name of \[named\]: change it there'):
        board.edit(move(1, 0, -1e-3), seen(board))


def test_parts_come_are_copied_and_go() -> None:
    board = Board()
    board.edit(Add(do="add", shape="round", at=(0.0, 0.03)), {})
    board.edit(Carry(do="carry", row=2, circuit="feed", way="back"), {})
    assert 'back = ["return", "round"]' in board.text
    board.edit(Copy(do="copy", row=2, way="right", mirrored="left-right"), seen(board))
    assert 'centre = ["11 mm", "30 mm"]' in board.text
    board.edit(Delete(do="delete", row=3), {})
    assert "round-2" not in board.text


def test_circuits_go_along_with_copies() -> None:
    board = Board()
    place, step = ["conductor", 0, "repeat"], '{ count = 2, step = ["0 mm", "9 mm"] }'
    board.edit(Write(do="write", place=place, toml=step), {})
    assert 'out = ["outgoing.*"]' in board.text
    assert len(seen(board)["parts"]) == 3  # type: ignore[arg-type]
    board.edit(Carry(do="carry", row=0, part="outgoing.2", circuit="feed", way="back"), seen(board))
    board.edit(SetValue(do="set", place=place, value=""), {})
    assert 'out = ["outgoing"]' in board.text
    board.edit(SetValue(do="set", place=["conductor", 0, "width"], value="50 mm"), {})


def test_what_is_new_has_room() -> None:
    board = Board()
    at = seen(board)
    board.edit(Add(do="add", shape="bar", at=(0.0, 0.0)), at)
    board.edit(Copy(do="copy", row=0, way="below"), at | {"parts": seen(board)["parts"]})
    board.edit(Copy(do="copy", row=1, way="right", mirrored="left-right"), seen(board))
    case_of(board.text.encode(), PATH)  # nothing overlaps
    assert 'centre = ["0 mm", "-10 mm"]' in board.text  # 1 mm under the lower bar


def test_what_is_new_stands_on_the_grid() -> None:
    board = Board()
    board.edit(Add(do="add", shape="round", at=(0.0123456, -0.0298765), grid=5e-4), {})
    board.edit(Add(do="add", shape="round", at=(0.0823456, -0.0298765)), {})
    assert 'centre = ["12.5 mm", "-30 mm"]' in board.text
    assert 'centre = ["82.3 mm", "-29.9 mm"]' in board.text


def test_pinned_designs() -> None:
    board = Board()
    board.pin({"title": "New section", "frequency": 85e3, "figures": {}, "scene": {}, "kind": "settled"})
    board.edit(SetValue(do="set", place=["conductor", 0, "width"], value="50 mm"), {})
    assert [pin["pin"] for pin in board.state()["pins"]] == [1]
    assert "text" not in board.state()["pins"][0]
    board.back_to(1)
    assert board.text == NEW
    board.unpin(1)
    assert not board.pins
    with pytest.raises(EditError, match="no such pinned design"):
        board.back_to(1)


def test_pinned_designs_are_known_at_the_frequency_looked_at() -> None:
    board, answer = Board(), {"frequency": 85e3, "figures": {}, "scene": {}, "field": {}, "kind": "settled"}
    board.pin(answer, b"85")
    assert not board.behind(85e3)
    assert [pin["pin"] for pin in board.behind(50.0)] == [1]
    board.answered(1, {"faults": []}, b"")
    board.answered(1, answer | {"frequency": 50.0}, b"50")
    assert not board.behind(50.0)
    assert [(pin["stamp"], pin["payload"]) for pin in board.pinned([1, 2])] == [(1, b"50")]
    assert not {"text", "field", "payload"} & set(board.state()["pins"][0])


def test_a_part_that_was_not_answered_yet() -> None:
    with pytest.raises(EditError, match="this part is not on the board yet"):
        Board().edit(move(0, 1e-3, 0), {})
