"""Pictures: kinds of one solution, found by themselves, and those of the further questions."""

from .draw import draw_pictures, picture, picture_kinds
from .kept import KeptCuts
from .notebook_picture import NotebookPicture
from .side_by_side import draw_side_by_side
from .style import own_style, save

__all__ = [
    "KeptCuts",
    "NotebookPicture",
    "draw_pictures",
    "draw_side_by_side",
    "own_style",
    "picture",
    "picture_kinds",
    "save",
]
