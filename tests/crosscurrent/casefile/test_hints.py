"""Every fault of a case says what to do, whatever stands where something else belongs."""

from __future__ import annotations

import copy
import tomllib
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from crosscurrent.casefile.case import checked_case
from crosscurrent.casefile.faults import CaseError, Fault

CASES = Path(__file__).resolve().parents[3] / "cases"
STRANGE = [
    "", "strange", "-7 furlong", "1e30 m", "x" * 9000, 0, -3, 1e9, 16**9000, float("nan"), float("inf"), True, [], {},
    [1, 2, 3], [{}], date(2026, 1, 1),
]  # fmt: skip
EVERY = 3


def faults(data: dict[str, Any]) -> tuple[Fault, ...]:
    try:
        checked_case(data, path=CASES / "made.toml")
    except CaseError as error:
        return error.faults
    return ()


def places(value: object, path: tuple[str | int, ...] = ()) -> Iterator[tuple[str | int, ...]]:
    """Paths of everything inside a case."""
    items = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for key, inner in items:
        yield (*path, key)
        yield from places(inner, (*path, key))


def put(data: Any, path: tuple[str | int, ...], value: object) -> None:
    for key in path[:-1]:
        data = data[key]
    data[path[-1]] = value


def whole() -> dict[str, Any]:
    """A case with every table that the shipped ones have."""
    found: dict[str, Any] = {}
    for path in sorted(CASES.glob("*.toml")):
        for key, table in tomllib.loads(path.read_text(encoding="utf-8")).items():
            found.setdefault(key, table)
    return found


@pytest.mark.parametrize("start", range(EVERY))
def test_anything_anywhere_says_what_to_do(start: int) -> None:
    """Every place once, each with another strange value."""
    every, met = whole(), 0
    found = [p for p in places(every) if p[0] not in ("title", "report") and p[-1] not in ("shape", "file")]
    for k, path in enumerate(found[start::EVERY]):
        data = {**every, path[0]: copy.deepcopy(every[path[0]])}
        put(data, path, STRANGE[k % len(STRANGE)])
        for fault in faults(data):
            met += 1
            assert fault.hint, f"{path}: {fault}"
            assert len(str(fault)) < 1500
    assert met > 50
