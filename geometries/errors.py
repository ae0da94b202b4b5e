"""The errors of the house: one root, a few narrow children.

Every message says where the fault is, what was expected, what was found and what to do.
"""


class CrosscurrentError(Exception):
    """Root of every error raised on purpose."""


class GeometryError(CrosscurrentError, ValueError):
    """An outline or a section that cannot be a conductor: crossing, overlapping, empty."""


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
        super().__init__(f"{file}: expected {expected}, found {found}; {hint}".removeprefix(": "))
