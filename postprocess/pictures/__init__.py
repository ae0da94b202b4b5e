"""Pictures of a solution: current density, its phase, flux lines, density along the outlines."""

from .draw import draw_pictures
from .side_by_side import draw_side_by_side
from .style import save

__all__ = ["draw_pictures", "draw_side_by_side", "save"]
