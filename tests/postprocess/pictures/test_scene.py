"""What the pictures of one solution share, told from direct current in two rods."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from drawn_scenes import two_rods

from crosscurrent.postprocess.pictures.scene import Scene


@pytest.fixture
def scene() -> Scene:
    return two_rods()


def test_peaks_of_every_region(scene: Scene) -> None:
    """100 A over pi (5 mm)2 and pi (10 mm)2, none in the air."""
    np.testing.assert_allclose(scene.peaks, 100 / np.pi * np.array([1 / 25e-6, 1 / 100e-6, 0.0]), rtol=1e-6)


def test_frequency_views_and_notes(scene: Scene) -> None:
    assert scene.at == "direct current"
    assert len(scene.views) == 2  # far apart
    assert scene.notes[0] == "thin: 100 A at 0\u00b0, 2.20 W/m"  # 100^2 / (58 MS/m pi 25 mm2)
    assert "at 180\u00b0" in scene.notes[1]


@pytest.mark.parametrize("side", [1e-12, -1e-12])
def test_opposite_currents_are_at_180_degrees_on_either_side_of_it(scene: Scene, side: float) -> None:
    """Rounding of a current that returns decides of the sign of its angle."""
    known = scene.answers.conductors
    turned = {name: replace(c, current=complex(-100.0, side)) for name, c in known.items()}
    notes = replace(scene, answers=replace(scene.answers, conductors=turned)).notes
    assert notes[0].startswith("thin: 100 A at 180\u00b0")


def test_surfaces_lie_on_the_outlines_and_point_inward(scene: Scene) -> None:
    for outline, (size, x) in zip(scene.outlines, ((0.005, 0.0), (0.01, 0.1)), strict=True):
        from_centre = outline.position - (x, 0.0)
        np.testing.assert_allclose(np.hypot(*from_centre.T), size, rtol=1e-6)
        np.testing.assert_allclose((outline.inward * from_centre).sum(axis=1), -size, rtol=1e-3)
