"""Pictures drawn with what others of their mesh have made: the same bytes, and another mesh begins anew."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from crosscurrent.geometries.plane.shapes import bar
from crosscurrent.postprocess.answers.answers import answers
from crosscurrent.postprocess.pictures.draw import draw_pictures
from crosscurrent.postprocess.pictures.kept import KeptCuts
from crosscurrent.postprocess.pictures.raster import Raster
from crosscurrent.solver.band.sweep import Sweep, sweep
from crosscurrent.solver.elements.operators import Elements
from crosscurrent.solver.field.alone import alone


@pytest.fixture(scope="module")
def found() -> Sweep:
    return sweep(alone(bar(0.02, 0.004), 100.0), [50.0, 5e6])


def test_pictures_are_the_same_whoever_cut_the_mesh(found: Sweep, tmp_path: Path) -> None:
    """From a skin wider than the metal to one too thin for the map, which a band stands for."""
    kept = KeptCuts()
    for number in range(2):
        solution = found.solution(number)
        files = []
        for name, shared in (("alone", None), ("shared", kept)):
            folder = tmp_path / name
            folder.mkdir(exist_ok=True)
            files.append(draw_pictures(solution, answers(solution), "bar", folder=folder, kept=shared))
        for one, other in zip(*files, strict=True):
            assert one.png.read_bytes() == other.png.read_bytes()
            assert one.svg.read_bytes() == other.svg.read_bytes()


def test_a_window_is_cut_once_until_another_mesh_comes(found: Sweep) -> None:
    made: list[int] = []

    def cut() -> tuple[list[object], Raster]:
        made.append(1)
        return [], Raster.of(np.array([[0.0, 0.0], [1.0, 1.0]]), 0.5, [])

    kept, elements = KeptCuts(), found.fine.model.discretisation.elements
    for e in (elements, elements, Elements(elements.mesh, 2), elements):
        kept.of(e, "window", cut)  # type: ignore[arg-type]
    assert len(made) == 3
