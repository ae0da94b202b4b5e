"""The file of a magnetisation curve that a [material.NAME] may name."""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path

from crosscurrent.geometries.ordinary_file import FileFault, ordinary_bytes
from crosscurrent.solver.metals.magnetisation import Magnetisation
from crosscurrent.solver.metals.magnetisation_table import CurveError, read_curve

MOST_BYTES = 1_000_000


def curve_from(file: str) -> Magnetisation:
    """The curve of a file, read once as long as it does not change.

    Raises
    ------
    CurveError
        The file or what is in it is at fault.
    """
    return _found(file)[1]


def curve_text(file: str) -> str:
    """The text of the same file.

    Raises
    ------
    CurveError
        The file or what is in it is at fault.
    """
    return _found(file)[0]


def _found(file: str) -> tuple[str, Magnetisation]:
    path = Path(file)
    try:
        status = path.stat()
        return _read(file, (status.st_mtime_ns, status.st_size))
    except FileFault as fault:
        raise CurveError(path.name, fault.expected, fault.found, fault.hint) from None
    except CurveError:
        raise
    except (OSError, ValueError) as error:
        why = "no such file" if isinstance(error, FileNotFoundError) else "one that cannot be read as text"
        raise CurveError(path.name, "a file beside the case file", why, "check its name") from None


@lru_cache(maxsize=8)
def _read(file: str, stamp: tuple[int, int]) -> tuple[str, Magnetisation]:
    """`stamp` tells a changed file from the one that was read."""
    text = ordinary_bytes(Path(file), MOST_BYTES, "some dozens of points will do").decode("utf-8-sig")
    return text, read_curve(text, Path(file).name)
