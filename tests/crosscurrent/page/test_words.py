"""What a page may say, and what is refused."""

import pytest
from pydantic import ValidationError

from crosscurrent.page.words import ASKED, Move, SetValue, misunderstood


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


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (f'{{"do": "gap", "row": 0, "other": "{"a" * 121}", "gap": ""}}', "other: expected at most 120 letters"),
        ('{"do": "carry", "row": 0, "circuit": "", "way": "out"}', "circuit: expected a name, found nothing; type one"),
        ('{"do": "tune", "frequency": -3}', "frequency: expected at least 0, found -3; change it"),
        ('{"do": "add", "shape": "star", "at": [0, 0]}', "expected what this page can ask for, found something"),
    ],
)  # fmt: skip
def test_it_is_told_in_our_words(words: str, told: str) -> None:
    with pytest.raises(ValidationError) as caught:
        ASKED.validate_json(words)
    assert misunderstood(caught.value).startswith(told)
