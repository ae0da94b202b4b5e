"""The index of lines: every value of these texts is its own line number, so the text is its own reference."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from crosscurrent.casefile.lines import LineIndex

TEXT = """a = 1
"quoted key" = 2   # a comment with = and [[brackets]]
'b.c' = 3
d.e.f = 4
d.e."g.h" = 5
[frequency] # [not.a.table]
at = [7,
  8, # ], a bracket in a comment
  [ 9, 9 ],

  11 ]
sweep = { from = 12, to = [12, 12], points.deep = 12 }

[[conductor]]
name = 15
[conductor.repeat]
count = 17
step = [
  19
  , 20,
]
[[conductor.hole]]
x = 23
[[conductor.hole]]
x = 25
[[ conductor ]]
  name = 27
[material."my.alloy"]
permeability = 29
[[conductor.hole]]
x = 31
plating = [
  { metal = 33 }, { metal = 33 },
] # 34
last = 35
"""


def leaves(data: Any, path: tuple[str | int, ...] = ()) -> Iterator[tuple[tuple[str | int, ...], Any]]:
    if isinstance(data, (dict, list)):
        for key, value in data.items() if isinstance(data, dict) else enumerate(data):
            yield from leaves(value, (*path, key))
    else:
        yield path, data


@pytest.mark.parametrize("text", [TEXT, TEXT.replace("\n", "\r\n"), TEXT.rstrip("\n")])
def test_every_value_stands_on_its_line(text: str) -> None:
    index = LineIndex(text)
    found = {path: index.line(path) for path, _ in leaves(tomllib.loads(text))}
    assert found == dict(leaves(tomllib.loads(text)))


@pytest.mark.parametrize(
    ("text", "line"),
    [
        ('a = """\nx = 1\n"""\nlast = 4', 4),
        ('a = """one \\" two\n" ""x"" """\nlast = 3', 3),
        ("a = '''\n'a' ''b'''\nlast = 3", 3),
        ('a = "# no comment ]"\nlast = 2', 2),
        ("a = '\\'\nlast = 2", 2),
        ('a = """x"""""\nlast = 2', 2),
        ("a = 1979-05-27T07:32:00Z\nb = -inf\nc = [true, 0xff]\nlast = 4", 4),
        ("a = []\nb = {}\nc = [ # nothing\n]\nlast = 5", 5),
    ],
)
def test_strings_comments_and_empty_things_do_not_shift_it(text: str, line: int) -> None:
    assert tomllib.loads(text)["last"] == line
    assert LineIndex(text).line(("last",)) == line


def test_a_missing_key_is_at_its_table() -> None:
    index = LineIndex(TEXT)
    assert index.line(("conductor", 1, "width")) == 26
    assert index.line(("conductor", 0, "hole", 1, "y")) == 24
    assert index.line(("material", "my.alloy", "conductivity")) == 28
    assert index.line(("frequency", "sweep", "step")) == 12
    assert index.line(("nothing",)) is None


keys = st.text("abc-_09", min_size=1, max_size=3)
values = st.recursive(
    st.integers(0, 9) | st.text('x#[]{}=," ', max_size=5),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(keys, inner, max_size=3),
    max_leaves=6,
)


def as_toml(value: Any, newline: str) -> str:
    if isinstance(value, list):
        return "[" + newline + f",{newline}".join(as_toml(v, newline) for v in value) + newline + "]"
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{k} = {as_toml(v, '')}" for k, v in value.items()) + " }"
    return str(value) if isinstance(value, int) else '"' + value.replace('"', '\\"') + '"'


@given(
    st.lists(st.dictionaries(keys, values, max_size=4), min_size=1, max_size=3), st.sampled_from(["", "\n", " # ]\n"])
)
def test_any_text_is_indexed_whole(tables: list[dict[str, Any]], newline: str) -> None:
    """Keys of the tables stand where the text that was written so far says."""
    text, expected = "", {}
    for k, table in enumerate(tables):
        text += "[[t]]\n"
        for key, value in table.items():
            expected["t", k, key] = text.count("\n") + 1
            text += f"{key} = {as_toml(value, newline)}\n"
    assert tomllib.loads(text) == {"t": tables}
    index = LineIndex(text)
    assert {path: index.line(path) for path in expected} == expected
