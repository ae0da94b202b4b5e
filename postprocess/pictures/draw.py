"""All pictures of one solution, written to a folder."""

from __future__ import annotations

import importlib
import pkgutil
from pathlib import Path

from crosscurrent.postprocess.answers.answers import Answers
from crosscurrent.postprocess.answers.drawn_picture import DrawnPicture
from crosscurrent.postprocess.answers.per_turn import per_turn
from crosscurrent.postprocess.answers.units import concise
from crosscurrent.solver.field.solution import Solution

from . import kinds
from .kept import KeptCuts
from .kind import PictureKind
from .notebook_picture import NotebookPicture
from .scene import Scene
from .style import save


def picture_kinds(solution: Solution | None = None) -> dict[str, PictureKind]:
    """The KIND of every module of `kinds` that suits a solution, if there is one, by key in the order they are shown.

    Examples
    --------
    >>> list(picture_kinds())
    ['current-density', 'phase', 'flux-lines', 'along-outline', 'power-in-pieces']
    """
    names = [f"{kinds.__name__}.{module.name}" for module in pkgutil.iter_modules(kinds.__path__)]
    found: list[PictureKind] = [importlib.import_module(name).KIND for name in names]
    shown = [kind for kind in found if solution is None or kind.suits(solution)]
    return {kind.key: kind for kind in sorted(shown, key=lambda kind: kind.order)}


def picture(solution: Solution, answers: Answers, title: str, name: str, zoom: tuple[str, ...] = ()) -> NotebookPicture:
    """One picture of a solution, by its key in `picture_kinds`; KeyError where none of that key suits it."""
    return NotebookPicture.of(picture_kinds(solution)[name].draw(Scene(solution, answers, title, zoom)), name)


def draw_pictures(
    solution: Solution,
    answers: Answers,
    title: str,
    *,
    folder: Path | str,
    zoom: tuple[str, ...] = (),
    kept: KeptCuts | None = None,
) -> list[DrawnPicture]:
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
    zoom : tuple of str
        Conductors among which the zoom looks for the largest loss; empty: it chooses.
    kept : KeptCuts, optional
        Handed to the pictures of further solutions on the same mesh, which are then drawn sooner.

    Returns
    -------
    list of DrawnPicture
        Their files are named after what they show and the frequency: current-density-85kHz.png, .svg and so on.

    Raises
    ------
    OSError
        The folder is missing, is a file, or cannot be written to.
    """
    scene, frequency = Scene(solution, answers, title, zoom, kept=kept or KeptCuts()), answers.frequency
    end = scene.at.replace(" ", "-" if scene.at == "direct current" else "")
    at = "direct current" if frequency == 0 else concise(frequency, "Hz")
    written = []
    for name, kind in picture_kinds(solution).items():
        png, svg = save(kind.draw(scene), Path(folder) / f"{name}-{end}")
        message = per_turn(kind.message(answers)) if answers.axial else kind.message(answers)
        written.append(DrawnPicture(name, png, svg, f"{kind.title} at {at}", message, frequency))
    return written
