"""The errors of the house: one root, a few narrow children.

Every message says where the fault is, what was expected, what was found and what to do.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any


class CrosscurrentError(Exception):
    """Root of every error raised on purpose; travels to another process with all that it carries."""

    def __reduce__(self) -> tuple[Any, ...]:
        # by its words and its data, since its constructor may take something else than it hands on
        return _restored, (type(self), self.args), self.__dict__


def _restored(kind: type[CrosscurrentError], args: tuple[Any, ...]) -> CrosscurrentError:
    return kind.__new__(kind, *args)


@dataclass(frozen=True)
class GeometryFault:
    """One thing that is wrong with an outline or a section.

    Parameters
    ----------
    found : str
        What is wrong, with its place and its measure.
    hint : str
        What to do about it; may be empty.
    parts : tuple of (str, int)
        The parts concerned: name of the conductor, number of its piece from 1; 0 for its base metal.

    Examples
    --------
    >>> str(GeometryFault('conductor "bar" runs clockwise', "give its points counter-clockwise", (("bar", 0),)))
    'conductor "bar" runs clockwise; give its points counter-clockwise'
    """

    found: str
    hint: str = ""
    parts: tuple[tuple[str, int], ...] = ()

    def __str__(self) -> str:
        return f"{self.found}; {self.hint}" if self.hint else self.found


class GeometryError(CrosscurrentError, ValueError):
    """An outline or a section that cannot be a conductor: crossing, overlapping, empty.

    Parameters
    ----------
    *faults : GeometryFault
        What is wrong, one line of the message each.
    more : int
        How many faults like these there are besides.

    Examples
    --------
    >>> error = GeometryError(GeometryFault("the outline encloses no area"), more=2)
    >>> str(error), error.faults[0].found
    ('the outline encloses no area\\nand 2 more', 'the outline encloses no area')
    """

    def __init__(self, *faults: GeometryFault, more: int = 0) -> None:
        self.faults, self.more = faults, more
        super().__init__(*faults)

    def __str__(self) -> str:
        return "\n".join([*map(str, self.faults), *([f"and {self.more} more"] if self.more else [])])


class UnknownKey(CrosscurrentError, KeyError):
    """A name, frequency or chapter that is not there; also a KeyError."""

    def __str__(self) -> str:
        return str(self.args[0])


class RunStopped(CrosscurrentError):
    """A run that was asked to stop."""


class MeshError(CrosscurrentError, RuntimeError):
    """The mesh of a valid section could not be built."""


class DrawingError(GeometryError):
    """A drawing or a finished mesh that gives no usable outlines.

    Parameters
    ----------
    expected, found, hint : str
        What was expected, what was found, what to do about it.
    file : str
        Name of the file; empty where it is not known.
    """

    def __init__(self, expected: str, found: str, hint: str, file: str = "") -> None:
        self.expected, self.found, self.hint, self.file = expected, found, hint, file
        super().__init__(GeometryFault(f"{file}: expected {expected}, found {found}".removeprefix(": "), hint))
