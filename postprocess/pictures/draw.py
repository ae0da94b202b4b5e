"""All pictures of one solution, written to a folder."""

from __future__ import annotations

from pathlib import Path

from ...solver.solve import Solution
from ..answers import Answers
from .developed import developed
from .flux import flux_map
from .maps import density_map, phase_map
from .scene import Scene
from .shown import Shown
from .style import save

PICTURES = {
    "current-density": density_map,
    "phase": phase_map,
    "flux-lines": flux_map,
    "along-outline": developed,
}


def picture(solution: Solution, answers: Answers, title: str, name: str) -> Shown:
    """One picture of a solution, by its key in `PICTURES`."""
    return Shown.of(PICTURES[name](Scene(solution, answers, title)), name)


def draw_pictures(solution: Solution, answers: Answers, title: str, *, folder: Path | str) -> list[Path]:
    """Draw every picture of a solution as PNG and SVG.

    Parameters
    ----------
    solution : Solution
    answers : Answers
        Of the same solution.
    title : str
        Of the case; any text.
    folder : path
        An existing folder; files of the same name are overwritten.

    Returns
    -------
    list of Path
        Named after what they show and the frequency: current-density-85kHz.png, .svg and so on.

    Raises
    ------
    OSError
        The folder is missing, is a file, or cannot be written to.
    """
    scene = Scene(solution, answers, title)
    end = scene.at.replace(" ", "-" if scene.at == "direct current" else "")
    written: list[Path] = []
    for name, draw in PICTURES.items():
        written += save(draw(scene), Path(folder) / f"{name}-{end}")
    return written
