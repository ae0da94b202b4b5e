"""A row carried elsewhere changes what is written of its place, and no more."""

import pytest

from crosscurrent.page.carry import carried, turned
from crosscurrent.page.edits import EditError

PLACED = '[[conductor]]\nplace = { inside = "box", wall = "right", gap = "3 mm" }  # from the wall\n'


def test_a_place_inside_goes_by_its_wall() -> None:
    found = carried(PLACED, 0, (-1e-3, 2e-3))
    assert found == PLACED.replace('"3 mm" }', '"4 mm", shift = "2 mm"}')


def test_a_quarter_of_a_turn() -> None:
    assert 'turn = "90 deg"' in turned("[[conductor]]\nwidth = '1 mm'\n", 0)
    assert 'turn = "147.2957795 deg"' in turned('[[conductor]]\nturn = "1 rad"\n', 0)  # 180 / pi + 90
    with pytest.raises(EditError, match="is a name of"):
        turned('[[conductor]]\nturn = "lean"\n', 0)


def test_what_stands_around_is_not_carried() -> None:
    with pytest.raises(EditError, match="stands around another"):
        carried('[[conductor]]\nplace = { around = "rod" }\n', 0, (1e-3, 0.0))
    with pytest.raises(EditError, match="no such part"):
        carried("", 0, (1e-3, 0.0))
