"""The folder of a run: checked before anything is solved, and there whole or not at all."""

from __future__ import annotations

import os
import re
import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from ..geometries.errors import CrosscurrentError

# names of what a run leaves in its folder
LEFT = r"(results|comparison|.*[.]regions)[.]json|pictures|case[.]toml|.*[.](csv|vtu|pvd|cir|dxf|svg|html|pdf)"


class OutputError(CrosscurrentError, ValueError):
    """A folder the results cannot go to."""


@contextmanager
def whole_folder(folder: Path) -> Iterator[Path]:
    """A fresh folder to fill; at the end it takes the place of `folder`, unless something went wrong.

    Earlier results in the same folder are replaced, never mixed with the new ones.
    """
    check_folder(folder)
    fresh = Path(tempfile.mkdtemp(prefix=f".{folder.name}-", dir=folder.resolve().parent))
    try:
        yield fresh
        fresh.chmod(0o755)
        _put_in_place(fresh, folder)
    except OSError as error:  # of the folder the user knows, not of ours
        raise OSError(error.errno, error.strerror or str(error), str(folder)) from error
    finally:
        shutil.rmtree(fresh, ignore_errors=True)


def check_folder(folder: Path) -> None:
    """Refuse a folder that cannot take results, before anything is solved.

    Raises
    ------
    OutputError
        Names the folder and what stands in the way.
    """
    parent = folder.resolve().parent
    if not parent.is_dir():
        raise OutputError(f"{folder}: there is no folder {parent} to put it in; create it or choose another --out")
    if not os.access(parent, os.W_OK):
        raise OutputError(f"{folder}: nothing can be written in {parent}; choose another --out")
    if folder.exists() and not folder.is_dir():
        raise OutputError(f"{folder}: expected a folder for the results, found a file; choose another --out")
    if folder.is_dir() and any(folder.iterdir()) and not _holds_results(folder):
        raise OutputError(
            f"{folder}: the folder holds something other than earlier results and is left alone; choose another --out"
        )


def _holds_results(folder: Path) -> bool:
    found = {entry.name for entry in folder.iterdir()}
    main = next((name for name in ("results.json", "comparison.json") if name in found), None)
    if main is None or any(not re.fullmatch(LEFT, name) for name in found):
        return False
    return b'"format": "crosscurrent-' in (folder / main).read_bytes()[:200]


def _put_in_place(fresh: Path, folder: Path) -> None:
    if folder.exists():
        old = Path(tempfile.mkdtemp(prefix=f".{folder.name}-", dir=folder.resolve().parent))
        folder.rename(old / "old")
        try:
            fresh.rename(folder)
        except OSError:
            (old / "old").rename(folder)
            raise
        finally:
            shutil.rmtree(old, ignore_errors=True)
    else:
        fresh.rename(folder)
