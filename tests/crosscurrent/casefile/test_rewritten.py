"""Comments and layout of a case file stay where its values change."""

from __future__ import annotations

import tomllib

import pytest

from crosscurrent.casefile.rewritten import rewritten

TEXT = """\
# Which gap?
title = "Feed"   # of the pier

[named]
gap = "3 mm"     # as drawn
count = 4

[[conductor]]
name = "go"
centre = [
  "0 mm",        # in the middle
  "1 mm",
]
plating = [{ material = "silver", thickness = "5 um" }]  # thin
[[conductor]]
name = "back"    # the second
"""


def _with(**named: object) -> dict[str, object]:
    tables = tomllib.loads(TEXT)
    return tables | {"named": tables["named"] | named}


def test_only_the_value_changes() -> None:
    assert rewritten(TEXT, tomllib.loads(TEXT)) == TEXT
    found = rewritten(TEXT, _with(gap="1.85 mm", count=5))
    assert found == TEXT.replace('gap = "3 mm"     #', 'gap = "1.85 mm"     #').replace("count = 4", "count = 5")


@pytest.mark.parametrize("path", [("conductor", 0, "centre", 1), ("conductor", 0, "plating", 0, "thickness")])
def test_inside_lists(path: tuple[str | int, ...]) -> None:
    tables = tomllib.loads(TEXT)
    inner: object = tables
    for word in path[:-1]:
        inner = inner[word]
    old, inner[path[-1]] = inner[path[-1]], "9 mm"
    assert rewritten(TEXT, tables) == TEXT.replace(f'"{old}"', '"9 mm"')


def test_what_is_new_and_what_is_gone() -> None:
    tables = _with() | {"material": {"copper": {"conductivity": "50 MS/m"}}}
    tables["conductor"] = [{"name": "go", "centre": ["0 mm", "1 mm", "2 mm"]}, *tables["conductor"][1:]]
    found = rewritten(TEXT, tables)
    assert tomllib.loads(found) == tables
    assert found.startswith("# Which gap?")
    assert all(comment in found for comment in ("# of the pier", "# as drawn", "# the second"))
