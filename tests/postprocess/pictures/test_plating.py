"""The picture of a plating: resistance against thickness, between bare and solid."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from matplotlib.figure import Figure

from crosscurrent.postprocess.pictures.plating import THICK, THIN, draw_plating
from crosscurrent.postprocess.pictures.style import save_one
from crosscurrent.solver.metals.finish import PlatingFinish
from crosscurrent.solver.metals.materials import Material

POOR, GOOD = Material("poor", 1e7), Material("good", 4e7)


@pytest.fixture(scope="module")
def figure() -> Figure:
    return draw_plating("5 um of good", [PlatingFinish(POOR, (), GOOD, f) for f in (1e6, 1e8)])


def test_axes_say_what_and_in_which_unit(figure: Figure) -> None:
    (axes,) = figure.axes
    assert axes.get_xlabel() == "thickness of the good [µm]"
    assert axes.get_ylabel() == "resistance against bare poor"
    assert axes.get_xscale() == "log"
    assert figure.texts[0].get_text() == "5 µm of good"
    assert [t.get_text() for t in axes.get_legend().get_texts()] == ["1 MHz", "100 MHz"]
    above = axes.child_axes[0]
    assert above.get_xlabel() == "[thou]"
    figure.draw_without_rendering()
    np.testing.assert_allclose(np.array(axes.get_xlim()) / above.get_xlim(), 25.4)  # micrometres of a thousandth inch


def test_curves_run_from_the_bare_metal_to_the_solid_one(figure: Figure) -> None:
    """Resistance of a surface goes as the root of the resistivity: half for four times the conductivity."""
    axes = figure.axes[0]
    thick = np.sqrt(2 / (2e6 * np.pi * 4e-7 * np.pi * 4e7))
    curves = [line for line in axes.lines if len(line.get_xdata()) > 100]
    assert len(curves) == 2
    for curve in curves:
        micrometres, ratio = np.asarray(curve.get_xdata()), np.asarray(curve.get_ydata())
        assert micrometres[0] == pytest.approx(1e6 * THIN * thick / 10)
        assert micrometres[-1] == pytest.approx(1e6 * THICK * thick)
        assert ratio[-1] == pytest.approx(0.5, rel=1e-3)
    assert np.asarray(curves[0].get_ydata())[0] == pytest.approx(1.0, abs=0.01)
    levels = sorted(float(np.asarray(line.get_ydata())[0]) for line in axes.lines if line.get_linestyle() == "--")
    np.testing.assert_allclose(levels, [0.5, 1.0], rtol=1e-9)


@pytest.mark.parametrize(("name", "head"), [("plate.png", b"\x89PNG"), ("plate.SVG", b"<?xml")])
def test_a_file_is_of_the_kind_its_name_says(figure: Figure, tmp_path: Path, name: str, head: bytes) -> None:
    save_one(figure, tmp_path / name)
    assert (tmp_path / name).read_bytes().startswith(head)
    assert [path.name for path in tmp_path.iterdir()] == [name]


def test_a_file_that_cannot_be_written_leaves_nothing(figure: Figure, tmp_path: Path) -> None:
    (tmp_path / "plate.png").mkdir()
    with pytest.raises(OSError, match="plate"):
        save_one(figure, tmp_path / "plate.png")
    assert [path.name for path in tmp_path.iterdir()] == ["plate.png"]
