"""What one further question about a solved case has to say, in the form every output takes it."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from html import escape
from typing import TYPE_CHECKING

from crosscurrent.geometries.arrays import same
from crosscurrent.geometries.fixed import Fixed

from .axial_names import Json as Json
from .axial_names import axial_columns, axial_names
from .per_turn import per_turn
from .tables import TextTable, html_list

if TYPE_CHECKING:
    from matplotlib.figure import Figure


@dataclass(frozen=True)
class Measured:
    """A figure that a limit can be set on that can be infinite: no end; its error too: not known."""

    value: float
    error: float  # absolute, in the same unit: the true value is not further away
    unit: str  # "degC", "W/m", "H/m", ...
    of: str = ""  # the name of the conductor, circuit or place it belongs to
    load: str = ""  # the load it was found for, where there are several: "steady", "peak of boats, 50 Hz"
    frequency: float | None = None  # at which it was found, where it belongs to one [Hz]
    words: str = ""  # what tables call it, where that is more than the name: "feed at 50 Hz"
    above: float = 0.0  # that groups of strands which are only twisted add to it at most

    @property
    def known(self) -> bool:
        """Whether it is a number at all."""
        return math.isfinite(self.value) and math.isfinite(self.error)

    @property
    def endless(self) -> bool:
        """Whether it is known to have no end."""
        return self.value == math.inf and not self.error

    @property
    def highest(self) -> float:
        """Which it may be, with its bar and as bundles are laid."""
        return self.value + self.error + self.above

    @property
    def label(self) -> str:
        """What tables and sentences call what it belongs to."""
        return self.words or self.of


@dataclass(frozen=True)
class CircuitBand:
    """What tolerances make of a circuit at one frequency at worst, and the cause that does most; None: no band."""

    name: str
    frequency: float  # [Hz]
    resistance_low: float | None = None  # [ohm/m]
    resistance_high: float | None = None
    resistance_most: str = ""
    inductance_low: float | None = None  # [H/m]
    inductance_high: float | None = None
    inductance_most: str = ""
    terminal: bool = False  # L is that of the terminals of a circuit beside others


@dataclass(frozen=True, eq=False, repr=False)
class Chapter:
    """Temperature, ladder, stray field ...: each is one chapter of the answers.

    Attributes
    ----------
    key : str
        Its name at the top level of results.json.
    title : str
    record : mapping
        SI numbers, text, lists and mappings of them, units in the names; never NaN (None).
    tables : tuple of TextTable
    sentences : tuple of str
        What it means, without a full stop.
    warnings, cautions : tuple of str
    pictures : mapping of str to callable
        File stem -> function that draws the figure.
    files : mapping of str to str
        File name -> content, beside results.json.
    measured : mapping of str to tuple of Measured
        What [limits] may refer to, by the limit's key.
    bands : tuple of CircuitBand
        What the first screen says of tolerances.
    """

    key: str
    title: str
    record: Mapping[str, Json]
    tables: tuple[TextTable, ...] = ()
    sentences: tuple[str, ...] = ()
    warnings: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    pictures: Mapping[str, Callable[[], Figure]] = field(default_factory=dict)
    files: Mapping[str, str] = field(default_factory=dict)
    measured: Mapping[str, tuple[Measured, ...]] = field(default_factory=dict)
    bands: tuple[CircuitBand, ...] = ()

    def __post_init__(self) -> None:
        for key in ("record", "pictures", "files", "measured"):
            object.__setattr__(self, key, Fixed(getattr(self, key)))

    def __eq__(self, other: object) -> bool:
        return same(self, other)

    __hash__ = None  # type: ignore[assignment]

    def __repr__(self) -> str:
        return f"<Chapter {self.key!r}: {self.title}>"

    @property
    def is_told(self) -> bool:
        """Whether it has tables or sentences; what could not be answered has a warning alone."""
        return bool(self.tables or self.sentences)

    def round_the_axis(self) -> Chapter:
        """The same in the words of a section round an axis."""
        tables = tuple(table.round_the_axis() for table in self.tables)
        files = {name: axial_columns(text) if name.endswith(".csv") else text for name, text in self.files.items()}
        return replace(
            self,
            title=per_turn(self.title),
            record=axial_names(self.record),
            tables=tables,
            sentences=tuple(map(per_turn, self.sentences)),
            warnings=tuple(map(per_turn, self.warnings)),
            cautions=tuple(map(per_turn, self.cautions)),
            files=files,
        )

    def html(self) -> str:
        """Its tables and sentences as HTML."""
        tables = "".join(table.html() for table in self.tables)
        return f"<p><b>{escape(self.title)}</b></p>{tables}{html_list('', self.sentences)}"

    def _repr_html_(self) -> str:
        return self.html() + html_list("Warnings", self.warnings) + html_list("Cautions", self.cautions)
