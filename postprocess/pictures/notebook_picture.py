"""One picture that a notebook shows by itself."""

from __future__ import annotations

import struct
from dataclasses import dataclass
from pathlib import Path

from matplotlib.figure import Figure

from .style import DPI, as_png

SCREEN = 96  # dots per inch of a page in a browser


@dataclass(frozen=True)
class NotebookPicture:
    """A drawn picture.

    Parameters
    ----------
    png : bytes
        Its PNG file.
    name : str
    """

    png: bytes
    name: str

    @classmethod
    def of(cls, figure: Figure, name: str) -> NotebookPicture:
        """A figure, drawn."""
        return cls(as_png(figure), name)

    @property
    def size(self) -> tuple[int, int]:
        """Width and height [pixel]."""
        width, height = struct.unpack(">II", self.png[16:24])  # the header that opens every PNG file
        return width, height

    def __repr__(self) -> str:
        return f"<picture {self.name!r}, {self.size[0]} x {self.size[1]}>"

    def save(self, path: str | Path) -> Path:
        """Write the PNG file; OSError where that cannot be done."""
        Path(path).write_bytes(self.png)
        return Path(path)

    def _repr_png_(self) -> tuple[bytes, dict[str, int]]:
        """As large as it is on paper, and so sharp on a fine screen."""
        width, height = (side * SCREEN // DPI for side in self.size)
        return self.png, {"width": width, "height": height}
