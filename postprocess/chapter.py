"""What one further question about a solved case has to say, in the form every output takes it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from .tables import TextTable

if TYPE_CHECKING:
    from matplotlib.figure import Figure


@dataclass(frozen=True)
class Measured:
    """A figure that a limit can be set on."""

    value: float
    error: float  # absolute, in the same unit: the true value is not further away
    unit: str  # "degC", "W/m", "H/m", ...
    of: str = ""  # the conductor, circuit or place it belongs to


@dataclass(frozen=True)
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
    """

    key: str
    title: str
    record: Mapping[str, Any]
    tables: tuple[TextTable, ...] = ()
    sentences: tuple[str, ...] = ()
    warnings: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    pictures: Mapping[str, Callable[[], Figure]] = field(default_factory=dict)
    files: Mapping[str, str] = field(default_factory=dict)
    measured: Mapping[str, tuple[Measured, ...]] = field(default_factory=dict)
