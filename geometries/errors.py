"""The errors of the house: one root, a few narrow children.

Every message says where the fault is, what was expected, what was found and what to do.
"""


class CrosscurrentError(Exception):
    """Root of every error raised on purpose."""


class GeometryError(CrosscurrentError, ValueError):
    """An outline or a section that cannot be a conductor: crossing, overlapping, empty."""


class MeshError(CrosscurrentError, RuntimeError):
    """The mesh of a valid section could not be built."""
