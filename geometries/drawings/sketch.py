"""What a file holds before anything is joined: strokes by layer, what was left out, the unit; and the limits."""

from __future__ import annotations

import time
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

import numpy as np

from crosscurrent.geometries.errors import DrawingError

from .curves import Run

MOST_BYTES = 50_000_000
MOST_ENTITIES = 100_000
MOST_SIDES = 200_000
FARTHEST = 1e12  # a coordinate in units of the file
DEEPEST = 16  # blocks or groups inside one another
PATIENCE = 20.0  # longest time of the processor for one file [s]

# metres in one unit, as a case file writes it
UNITS: Mapping[str, float] = MappingProxyType(
    {"mm": 1e-3, "cm": 1e-2, "m": 1.0, "um": 1e-6, "in": 25.4e-3, "thou": 25.4e-6, "ft": 0.3048}
)


@dataclass(frozen=True, eq=False)
class Stroke:
    """One curve as drawn; `group` keeps curves apart that must not be joined with those of another group."""

    layer: str
    run: Run
    closed: bool
    group: int = 0


@dataclass(eq=False)
class Sketch:
    """Collects what a reader finds, within the limits.

    Attributes
    ----------
    strokes : list of Stroke
        In the file's own coordinates, y up.
    skipped : Counter
        How many things of a kind were left out in a layer: (layer, kind) -> count.
    unit : float or None
        Metres in one unit of the coordinates; None where the file does not say.
    notes : list of str
    """

    strokes: list[Stroke] = field(default_factory=list)
    skipped: Counter[tuple[str, str]] = field(default_factory=Counter)
    unit: float | None = None
    notes: list[str] = field(default_factory=list)
    _entities: int = 0
    _sides: int = 0
    _began: float = field(default_factory=time.process_time)

    def count(self) -> None:
        """One more entity was met.

        Raises
        ------
        DrawingError
            Too many of them, or reading takes too long.
        """
        self._entities += 1
        if self._entities > MOST_ENTITIES:
            hint = "draw only the section, without repeated blocks, and save it again"
            raise DrawingError(f"at most {MOST_ENTITIES} entities", "more, blocks counted as often as placed", hint)
        self.hurry()

    def hurry(self) -> None:
        """Asked between the parts of long work.

        Raises
        ------
        DrawingError
            Reading takes too long.
        """
        if time.process_time() - self._began > PATIENCE:
            hint = "save only the layers of the section in a file of their own"
            raise DrawingError(f"a drawing that is read in {PATIENCE:g} s", "one that takes longer", hint)

    def fits(self, sides: int) -> None:
        """Refuse more lines and arcs than a drawing may have.

        Raises
        ------
        DrawingError
        """
        if sides > MOST_SIDES:
            hint = "save only the layers of the section in a file of their own"
            raise DrawingError(f"at most {MOST_SIDES} lines and arcs", "more", hint)

    def skip(self, layer: str, kind: str) -> None:
        """Something was left out."""
        self.skipped[layer, kind] += 1

    def add(self, layer: str, run: Run, *, closed: bool, group: int = 0) -> None:
        """A curve was found.

        Raises
        ------
        DrawingError
            Too many lines and arcs, or reading takes too long.
        """
        self.hurry()
        if not np.isfinite(run.bulges).all() or not (np.abs(run.points) < FARTHEST).all():
            self.skip(layer, "curve with a coordinate that is not a number, or beyond all measure")
            return
        self._sides += len(run.bulges)
        self.fits(self._sides)
        if len(run.bulges):
            self.strokes.append(Stroke(layer, run, closed, group))
