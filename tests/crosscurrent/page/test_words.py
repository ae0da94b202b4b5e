"""What a page may say, and what is refused."""

import pytest
from pydantic import ValidationError

from crosscurrent.page.words import ASKED, Move, SetValue


def test_words_are_read() -> None:
    assert ASKED.validate_json('{"do": "move", "row": 1, "by": [0.001, 0]}') == Move(do="move", row=1, by=(1e-3, 0.0))
    found = ASKED.validate_json('{"do": "set", "place": ["conductor", 0, "width"], "value": "1 in"}')
    assert found == SetValue(do="set", place=["conductor", 0, "width"], value="1 in")


@pytest.mark.parametrize(
    "words",
    [
        "{}", "[]", "move", '{"do": "fly"}', '{"do": "move", "row": -1, "by": [0, 0]}',
        '{"do": "move", "row": 0, "by": [1e9, 0]}', '{"do": "tune", "frequency": NaN}', '{"do": "undo", "more": 1}',
        '{"do": "set", "place": [], "value": "x"}', '{"do": "add", "shape": "star", "at": [0, 0]}',
    ],
)  # fmt: skip
def test_anything_else_is_refused(words: str) -> None:
    with pytest.raises(ValidationError):
        ASKED.validate_json(words)
