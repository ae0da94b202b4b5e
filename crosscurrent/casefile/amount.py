"""How much a case may hold: looked at before anything of it is read, so that too much is refused at once."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from .conductors_from_files import MOST_CONDUCTORS
from .draft import Draft, rows
from .faults import Fault
from .lines import Path
from .names import value

MOST_ENTRIES = 10_000  # of one list or table
MOST_VALUES = 100_000  # of all lists and tables together
_SPLIT = "split the case, or take long outlines from a drawing"


def amount_faults(draft: Draft) -> list[Fault]:
    """Lists, values, whole numbers and conductors beyond what a case may hold."""
    total, faults = 0, []
    for path, entries in _collections(draft.data, ()):
        total += len(entries)
        for key, one in entries.items() if isinstance(entries, Mapping) else enumerate(entries):
            if isinstance(one, int) and abs(one) >= 2**63:
                expected, hint = "a whole number of 64 bits, as TOML has it", "write a quantity in quotes with its unit"
                faults.append(draft.fault((*path, key), expected, "a larger one", hint))
        if len(entries) > MOST_ENTRIES and path:
            faults.append(draft.fault(path, f"at most {MOST_ENTRIES} entries", f"{len(entries)}", _SPLIT))
        if total > MOST_VALUES:
            found = f"more, up to {path[0] if path else 'its first tables'}"
            return faults or [Fault(None, "", f"at most {MOST_VALUES} values in a case", found, _SPLIT)]
    count = sum(_copies(row) for row in rows(draft.data, "conductor"))
    if count > MOST_CONDUCTORS:
        hint = "draw a part of the section, or several strands as one conductor"
        expected = f"at most {MOST_CONDUCTORS} conductors, copies counted"
        faults.append(draft.fault(("conductor", 0), expected, f"{count}", hint))
    return faults


def _collections(found: object, path: Path) -> Iterator[tuple[Path, Mapping[str, object] | list[object]]]:
    """Every list and table inside, with its path, the outer ones first."""
    if isinstance(found, Mapping):
        yield path, found
        for key, inner in found.items():
            yield from _collections(inner, (*path, key))
    elif isinstance(found, list):
        yield path, found
        for k, inner in enumerate(found):
            yield from _collections(inner, (*path, k))


def _copies(row: object) -> int:
    count = value(value(row, "repeat"), "count")
    return count if isinstance(count, int) and 1 <= count <= MOST_CONDUCTORS else 1  # else a fault of its own
