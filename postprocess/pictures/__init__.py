"""Pictures of a solution: current density, its phase, flux lines, density along the outlines."""

from .draw import draw_pictures
from .style import save

__all__ = ["draw_pictures", "save"]
