"""Files that users name: read only if they are ordinary ones of a stated size, no device, no pipe."""

from __future__ import annotations

import stat
from pathlib import Path

from crosscurrent.geometries.errors import CrosscurrentError

_KINDS = {
    stat.S_IFIFO: "a pipe",
    stat.S_IFCHR: "a device",
    stat.S_IFBLK: "a device",
    stat.S_IFSOCK: "a socket",
}


class FileFault(CrosscurrentError, ValueError):
    """A file that is not read; says what was expected instead, what was found, and what to do."""

    def __init__(self, expected: str, found: str = "", hint: str = "") -> None:
        self.expected, self.found, self.hint = expected, found, hint
        super().__init__(f"expected {expected}, found {found}; {hint}")


def ordinary_bytes(path: Path, most: int, smaller: str) -> bytes:
    """The content of an ordinary file.

    Parameters
    ----------
    path : Path
    most : int
        Largest size that is read [bytes].
    smaller : str
        What to do about a larger one.

    Raises
    ------
    FileFault
        A folder, a pipe, a device, or too large.
    OSError
        It is not there or may not be read.

    Examples
    --------
    >>> ordinary_bytes(Path("/dev/zero"), 1_000_000, "cut it")
    Traceback (most recent call last):
    ...
    crosscurrent.geometries.ordinary_file.FileFault: expected an ordinary file, found a device; save ... in a file
    """
    status = path.stat()
    if stat.S_ISDIR(status.st_mode):
        raise FileFault("a file", "a folder", "name the file inside it")
    if not stat.S_ISREG(status.st_mode):
        found = _KINDS.get(stat.S_IFMT(status.st_mode), "something else")
        raise FileFault("an ordinary file", found, "save what it gives in a file")
    if status.st_size == 0:  # also the files that a system makes up as they are read, some of them without end
        return b""
    with path.open("rb") as stream:
        data = stream.read(most + 1)
    if len(data) > most:
        raise FileFault(f"a file of at most {most / 1e6:g} MB", f"{status.st_size / 1e6:.3g} MB", smaller)
    return data
