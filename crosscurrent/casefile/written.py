"""The tables of a case as the text of a case file: the way back from Python."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping, Sequence
from typing import TypeGuard

_BARE = re.compile(r"[A-Za-z0-9_-]+")


def as_toml(tables: Mapping[str, object]) -> str:
    """Tables of text, numbers, lists and further tables as TOML; a list of tables becomes [[name]] at the top level.

    Examples
    --------
    >>> print(as_toml({"title": "Rod", "conductor": [{"name": "rod", "centre": ["0 mm", "1 mm"]}]}))
    title = "Rod"
    <BLANKLINE>
    [[conductor]]
    name = "rod"
    centre = ["0 mm", "1 mm"]
    <BLANKLINE>
    """
    plain = {key: value for key, value in tables.items() if not _is_table(value) and not _are_tables(value)}
    blocks = ["".join(_pairs(plain))] if plain else []
    for key, value in tables.items():
        if _is_table(value):
            blocks += _table(_key(key), value)
        elif _are_tables(value):
            blocks += [f"[[{_key(key)}]]\n{''.join(_pairs(row))}" for row in value]
    return "\n".join(blocks)


def _table(name: str, table: Mapping[str, object]) -> Iterator[str]:
    """A table under its heading; one that holds nothing but tables, such as [material.NAME], under theirs."""
    inner_tables = {key: inner for key, inner in table.items() if _is_table(inner)}
    if table and len(inner_tables) == len(table):
        for key, inner in inner_tables.items():
            yield from _table(f"{name}.{_key(key)}", inner)
    else:
        yield f"[{name}]\n{''.join(_pairs(table))}"


def _is_table(value: object) -> TypeGuard[Mapping[str, object]]:
    return isinstance(value, Mapping)


def _are_tables(value: object) -> TypeGuard[Sequence[Mapping[str, object]]]:
    return isinstance(value, (list, tuple)) and bool(value) and all(map(_is_table, value))


def _pairs(table: Mapping[str, object]) -> list[str]:
    return [f"{_key(key)} = {_value(value)}\n" for key, value in table.items()]


def _key(key: str) -> str:
    return key if _BARE.fullmatch(key) else _text(key)


def _value(value: object) -> str:
    if isinstance(value, Mapping):
        inner = ", ".join(f"{_key(key)} = {_value(of)}" for key, of in value.items())
        return f"{{ {inner} }}" if inner else "{}"
    if isinstance(value, (list, tuple)):
        return f"[{', '.join(map(_value, value))}]"
    return _text(value) if isinstance(value, str) else json.dumps(value)


def _text(text: str) -> str:
    # JSON and TOML escape alike, but for the one control character that JSON lets through
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")
