"""The folder of a run: checked before anything is solved, and there whole or not at all."""

from __future__ import annotations

import logging
import os
import re
from collections.abc import Iterator
from contextlib import contextmanager
from itertools import count
from pathlib import Path

from crosscurrent.geometries.errors import CrosscurrentError

from .leftovers import NEW, OLD, clear_leftovers, working_folder

log = logging.getLogger("crosscurrent")
CONTENTS = "contents.txt"  # lists every file and folder a run left, so that those of others are known
REPORT = "report.html"
# names that a run leaves in a folder without such a list
LEFT = r"(results|comparison|.*[.]regions)[.]json|pictures|case[.]toml|.*[.](csv|vtu|pvd|cir|dxf|svg|html|pdf)"


class OutputError(CrosscurrentError, ValueError):
    """A folder the results cannot go to."""


@contextmanager
def whole_folder(folder: Path) -> Iterator[Path]:
    """A fresh folder to fill; at the end it takes the place of `folder`, unless something went wrong.

    Earlier results in the same folder are replaced, never mixed with the new ones. What killed runs left half made
    beside it is cleared up.

    Raises
    ------
    OutputError
        The folder cannot take results.
    OSError
        It cannot be written to.
    """
    place = _place(folder)
    try:
        clear_leftovers(place)
        check_folder(folder)
        with working_folder(place) as hidden:
            fresh = hidden / NEW
            yield fresh
            contents = sorted([CONTENTS, *_entries(fresh)])
            (fresh / CONTENTS).write_text("\n".join(contents) + "\n", encoding="utf-8")
            _put_in_place(hidden, place, folder)
    except OSError as error:  # of the folder the user knows, not of ours
        raise OSError(error.errno, error.strerror or str(error), str(folder)) from error


def check_folder(folder: Path) -> None:
    """Refuse a folder that cannot take results, before anything is solved.

    Raises
    ------
    OutputError
        Names the folder and what stands in the way.
    """
    place = _place(folder)
    if not place.parent.is_dir():
        where = f"there is no folder {place.parent} to put it in"
        raise OutputError(f"{folder}: {where}; create it or choose another --out")
    if not os.access(place.parent, os.W_OK):
        raise OutputError(f"{folder}: nothing can be written in {place.parent}; choose another --out")
    if place.exists() and not place.is_dir():
        raise OutputError(f"{folder}: expected a folder for the results, found a file; choose another --out")
    if place.is_dir() and (other := _not_ours(place)):
        raise OutputError(
            f"{folder}: the folder holds something other than earlier results and is left alone ({other}); "
            "choose another --out"
        )


def holds_report(folder: Path) -> bool:
    """Whether earlier results in a folder have a report with them."""
    return (folder / REPORT).is_file()


def _place(folder: Path) -> Path:
    """Where a folder is, whatever becomes of the current one and of links on the way."""
    return Path(os.path.realpath(folder))


def _entries(folder: Path) -> set[str]:
    return {path.relative_to(folder).as_posix() for path in folder.rglob("*")}


def _not_ours(folder: Path) -> str | None:
    """The first thing in a folder that no run left there."""
    top = {entry.name for entry in folder.iterdir()}
    main = next((folder / name for name in ("results.json", "comparison.json", "study.json") if name in top), None)
    if main is None or not main.is_file() or b'"format": "crosscurrent-' not in _beginning(main):
        return min(top, default=None)
    listed = folder / CONTENTS
    if listed.is_file():
        known = set(listed.read_text(encoding="utf-8", errors="replace").splitlines())
        return min(_entries(folder) - known, default=None)
    return min((name for name in top if not re.fullmatch(LEFT, name)), default=None)


def _beginning(file: Path) -> bytes:
    with file.open("rb") as stream:
        return stream.read(200)


def _put_in_place(hidden: Path, place: Path, folder: Path) -> None:
    """Move the earlier results aside and the new ones to their place."""
    fresh = hidden / NEW
    if place.exists() and (not place.is_dir() or (other := _not_ours(place))):
        beside = next(p for k in count(2) if not (p := place.with_name(f"{place.name}-{k}")).exists())
        fresh.rename(beside)
        what = other if place.is_dir() else "a file of that name"
        raise OutputError(
            f"{folder}: another program put something there during the run, which is left alone ({what}); "
            f"the results are in {beside}"
        )
    inside = place in _current()
    if holds_report(place) and not holds_report(fresh):
        log.warning("%s: its report was of the earlier results and is removed with them", folder)
    if place.exists():
        place.rename(hidden / OLD)
    fresh.rename(place)
    if inside:
        os.chdir(place)
        log.warning("%s: this terminal still stands in the earlier folder; enter the new one: cd %s", folder, place)


def _current() -> list[Path]:
    """The current folder and all above it; none where it is no longer there."""
    try:
        here = Path(os.path.realpath(Path.cwd()))
    except FileNotFoundError:
        return []
    return [here, *here.parents]
