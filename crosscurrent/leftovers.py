"""The hidden folder beside a place in which results are made, and what is left of it where a run was killed.

A running process holds a lock on its hidden folder, which the system lets go when the process ends, however it does.
"""

from __future__ import annotations

import os
import shutil
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

if sys.platform != "win32":  # there nothing is known of other runs, so nothing of theirs is cleared up
    import fcntl

NEW, OLD = "new", "old"  # what is being made, and what it takes the place of
_MARK = "-crosscurrent-"


@contextmanager
def working_folder(place: Path) -> Iterator[Path]:
    """A hidden folder beside a place, with an empty folder `NEW` in it; gone at the end, whatever happens.

    Parameters
    ----------
    place : Path
        Absolute, without links; may be there or not.
    """
    hidden, lock = _locked_folder(place)
    try:
        (hidden / NEW).mkdir()
        yield hidden
    finally:
        _clear(hidden, place)
        os.close(lock)


def clear_leftovers(place: Path) -> None:
    """Remove what killed runs left of their hidden folders beside a place; those of running ones stay.

    Earlier results that such a run had moved aside, and nothing in their place, go back.
    """
    for hidden in sorted(place.parent.glob(f"{_escaped(_prefix(place))}*")):
        if hidden.is_symlink() or not hidden.is_dir() or (lock := _lock(hidden, wait=False)) is None:
            continue
        if {entry.name for entry in hidden.iterdir()} <= {NEW, OLD}:
            _clear(hidden, place)
        os.close(lock)


def _clear(hidden: Path, place: Path) -> None:
    """Remove a hidden folder, but never the only copy of earlier results."""
    if (hidden / OLD).exists() and (hidden / NEW).exists():  # stopped between the two moves
        if place.exists():
            return
        (hidden / OLD).rename(place)
    shutil.rmtree(hidden, ignore_errors=True)


def _locked_folder(place: Path) -> tuple[Path, int]:
    while True:
        hidden = Path(tempfile.mkdtemp(prefix=_prefix(place), dir=place.parent))
        lock = _lock(hidden, wait=True)
        if lock is None:
            return hidden, os.open(os.devnull, os.O_RDONLY)
        if hidden.exists():  # else a run that cleared up took it before it was locked
            return hidden, lock
        os.close(lock)


def _lock(folder: Path, *, wait: bool) -> int | None:
    """A handle that holds the lock of a folder; None where another process has it, or the system has no such locks."""
    if sys.platform == "win32":
        return None
    try:
        handle = os.open(folder, os.O_RDONLY)
    except OSError:
        return None
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | (0 if wait else fcntl.LOCK_NB))
    except OSError:
        os.close(handle)
        return None
    return handle


def _prefix(place: Path) -> str:
    return f".{place.name}{_MARK}"


def _escaped(name: str) -> str:
    return "".join(f"[{c}]" if c in "*?[" else c for c in name)
