"""The command `shapes`: what a section can be made of."""

from __future__ import annotations

from .app import known_shape


def shapes(shape: str | None = None, /) -> None:
    """The shapes a case file can name, with their keys and a small drawing.

    Parameters
    ----------
    shape
        Show this one alone, with a sample to copy.
    """
    from .shapes_output import show_catalogue, show_shape

    if shape is None:
        show_catalogue()
    else:
        show_shape(known_shape(shape))
