"""Pictures of a solution: current density, its phase, flux lines, density along the outlines."""

from .draw import PICTURES, draw_pictures, picture
from .shown import Shown
from .side_by_side import draw_side_by_side
from .style import save

__all__ = ["PICTURES", "Shown", "draw_pictures", "draw_side_by_side", "picture", "save"]
