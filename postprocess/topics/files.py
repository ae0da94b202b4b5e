"""The table and record of outlines that were read from files, with each file's own hash."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from crosscurrent.geometries.plane.shapes import Shape
from crosscurrent.postprocess.answers.chapter import Json
from crosscurrent.postprocess.answers.tables import TextTable

COLUMNS = ("conductor", "file", "layer or region", "outlines", "holes", "area", "SHA-256 of the file begins")


@dataclass(frozen=True, eq=False)
class OutlinesAnswer:
    """What one conductor took from a file.

    Attributes
    ----------
    conductor : str
    file : str
        Its name, without folders.
    group : str
        The layer or region.
    shapes : tuple of Shape
    digest : str
        SHA-256 of the file.
    """

    conductor: str
    file: str
    group: str
    shapes: tuple[Shape, ...]
    digest: str

    @property
    def holes(self) -> int:
        """How many there are in all outlines."""
        return sum(len(shape.holes) for shape in self.shapes)

    @property
    def area(self) -> float:
        """Of all outlines, holes taken off [m2]."""
        return sum(s.area for s in self.shapes)


def record(found: Sequence[OutlinesAnswer]) -> dict[str, Json]:
    """The numbers of the chapter, by conductor."""
    return {
        one.conductor: {
            "file": one.file,
            "sha256": one.digest,
            "group": one.group,
            "outlines": len(one.shapes),
            "holes": one.holes,
            "area_m2": one.area,
        }
        for one in found
    }


def table(found: Sequence[OutlinesAnswer]) -> TextTable:
    """One line for every conductor."""
    rows = tuple(
        (
            one.conductor,
            one.file,
            one.group,
            f"{len(one.shapes)}",
            f"{one.holes}",
            f"{one.area * 1e6:.6g} mm2 ({one.area / 25.4e-3**2:.4g} in2)",
            one.digest[:12],
        )
        for one in found
    )
    return TextTable("Outlines from files", COLUMNS, rows)
