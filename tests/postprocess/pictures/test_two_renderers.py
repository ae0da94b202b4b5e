"""One layout for both files: against what the library writes when it lays the same figure out for each."""

from __future__ import annotations

import io
from pathlib import Path

import matplotlib.image
import numpy as np
import pytest
from matplotlib.collections import LineCollection
from matplotlib.colors import LogNorm
from matplotlib.figure import Figure

from crosscurrent.postprocess.pictures.style import DENSITY, DPI, VECTOR, as_png, new_figure, own_style, save


def everything() -> Figure:
    """All that pictures consist of: lines, marks, areas, clips, images, text, a colour bar, shaded triangles."""
    with own_style():
        figure = new_figure(4.0, 3.0)
        axes, shaded = figure.add_axes((0.1, 0.2, 0.4, 0.7)), figure.add_axes((0.6, 0.2, 0.3, 0.7))
        x = np.linspace(0, 1, 50)
        axes.plot(x, 0.5 + 0.7 * np.sin(9 * x), marker="o", markersize=3, linestyle="--")  # runs out of its axes
        axes.fill_between(x, 0, 0.3 * x, color="#c06a4b")
        axes.add_collection(LineCollection([[(0, 0), (1, 1)], [(0, 1), (1, 0)]], linewidths=[0.5, 2.0]))
        axes.imshow(np.arange(12.0).reshape(3, 4), extent=(0.2, 0.6, 0.4, 0.8), cmap=DENSITY)
        axes.text(0.5, 0.5, "6 mm", ha="center", rotation=90)
        axes.set(xlim=(0, 1), ylim=(0, 1))
        mesh = shaded.tripcolor([0, 1, 0, 1], [0, 0, 1, 1], [1.0, 2.0, 3.0, 4.0], shading="gouraud", rasterized=True)
        figure.colorbar(mesh, cax=figure.add_axes((0.6, 0.08, 0.3, 0.04)), orientation="horizontal")
        mesh.set_norm(LogNorm(1.0, 4.0))
    return figure


@pytest.fixture(scope="module")
def files(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    return save(everything(), tmp_path_factory.mktemp("drawn") / "all")


def test_the_vector_file_is_the_librarys_to_the_byte(files: tuple[Path, Path]) -> None:
    file = io.BytesIO()
    with own_style():
        everything().savefig(file, format="svg", dpi=DPI, metadata=VECTOR)
    assert files[1].read_bytes() == file.getvalue()


def test_the_pixels_are_the_librarys_but_for_rounding(files: tuple[Path, Path]) -> None:
    ours, theirs = (matplotlib.image.imread(file) for file in (files[0], io.BytesIO(as_png(everything()))))
    assert ours.shape == (3 * DPI, 4 * DPI, 3)  # nothing shows through
    assert (theirs[..., 3:] == 1).all()
    theirs = theirs[..., :3]
    off = np.abs(ours - theirs).max(axis=2)
    assert (off > 0.25).mean() < 0.02  # edges of lines and letters, a fraction of a pixel away
    # in blocks of 8 pixels, larger than that
    blocks = [image[:, :, :3].reshape(60, 8, 80, 8, 3).mean(axis=(1, 3)) for image in (ours, theirs)]
    assert np.abs(blocks[0] - blocks[1]).max() < 0.15


def test_the_figure_is_as_before(files: tuple[Path, Path], tmp_path: Path) -> None:
    figure = everything()
    again = [save(figure, tmp_path / stem) for stem in ("one", "two")]
    assert figure.dpi == DPI
    for paths in again:
        assert [p.read_bytes() for p in paths] == [p.read_bytes() for p in files]
