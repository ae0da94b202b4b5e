"""The grid on which room for names is looked for."""

from __future__ import annotations

import numpy as np
import pytest

from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.shapes import bar
from crosscurrent.postprocess.pictures.label_grid import CELL, LabelGrid, cells_between, cells_of
from crosscurrent.postprocess.pictures.style import DPI, new_figure


def grid(*parts: Part, ring: bool = False) -> LabelGrid:
    """42 x 30 mm on 4.2 x 3 inches."""
    axes = new_figure(4.2, 3.0).add_axes((0.0, 0.0, 1.0, 1.0))
    axes.set(xlim=(-0.021, 0.021), ylim=(-0.015, 0.015))
    found = LabelGrid.of(parts, axes, np.zeros(2) if ring else None)
    assert found is not None
    return found


def test_cells_belong_to_the_part_they_lie_on() -> None:
    found = grid(Part("bar", bar(0.0209, 0.0119)))
    assert found.owner.shape == (200, 280)
    assert (found.owner == 0).sum() * found.cell**2 == pytest.approx(0.0119 * 0.0209, rel=0.02)
    np.testing.assert_allclose(found.place(99.5, 139.5), 0.0, atol=found.cell)


def test_metal_thinner_than_a_cell_is_not_lost() -> None:
    assert (grid(Part("foil", bar(0.02, 1e-5))).owner == 0).sum() >= 133


def test_a_name_needs_its_cells_free() -> None:
    found = grid(Part("bar", bar(0.0209, 0.0119)))
    fits = found.centres(found.owner == 0, "bar")
    high, wide = cells_of("bar")
    rows, columns = (np.ptp(k) + 1 for k in np.nonzero(found.owner == 0))
    assert fits.sum() == (rows - high + 1) * (columns - wide + 1)
    found.write(99, 139, "bar")
    assert not found.centres(found.owner == 0, "bar")[99, 139]
    assert found.centres(found.owner == 0, "bar", upright=True).any()
    assert grid(ring=True).taken.sum() * CELL**2 > np.pi * (9 / 72 / 2) ** 2


def test_the_cells_of_a_name_hold_its_text() -> None:
    found = grid()
    for text in ("bar", "outgoing.12", "WWWWWW"):
        found.write(50, 66, text)
        box = found.axes.texts[-1].get_window_extent(found.axes.figure.canvas.get_renderer())  # type: ignore[union-attr]
        high, wide = cells_of(text)
        assert box.height < high * CELL * DPI
        assert box.width < wide * CELL * DPI


def test_a_line_takes_its_cells() -> None:
    found = grid()
    found.lead([(10, 10), (10, 30)])
    assert found.taken[10, 10:31].all()
    assert found.taken.sum() == 21
    rows, columns = cells_between((0.0, 0.0), (3.0, 3.0), (2, 9))
    assert rows.max() == 1
    assert columns.max() == 3
