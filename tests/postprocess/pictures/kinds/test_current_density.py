"""The map of the current density: colours that hold the numbers, and what stands beside them."""

from __future__ import annotations

import numpy as np
import pytest
from drawn_scenes import conductor, maps_of, scene_of, two_rods
from scipy.special import jv

from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.shapes import bar, round_bar
from crosscurrent.postprocess.pictures.kinds.current_density import density_map
from crosscurrent.postprocess.pictures.style import DENSITY
from crosscurrent.solver.field.problem import Conductor
from crosscurrent.solver.metals.materials import MATERIALS


def test_colours_of_a_rod_follow_the_bessel_function() -> None:
    """|J(r)| / |J(a)| = |J0(k r) / J0(k a)|, k = (1 - j) / depth, read back from the painted colours."""
    scene = scene_of([conductor("rod", round_bar(0.025))], 20e3)
    axes = maps_of(density_map(scene))[0]
    image = np.asarray(axes.images[0].get_array())[..., :3].astype(float)
    row = image[image.shape[0] // 2]
    x = np.linspace(*axes.get_xlim(), len(row) + 1)
    r = (x[1:] + x[:-1]) / 2
    table = DENSITY(np.linspace(0, 1, 1001))[:, :3] * 255
    place = np.argmin(np.linalg.norm(row[:, None] - table, axis=-1), axis=1) / 1000
    painted = scene.scale.high * place ** (1 / scene.scale.power)
    depth = np.sqrt(2 / (2 * np.pi * 20e3 * 4e-7 * np.pi * 58e6))
    k = (1 - 1j) / depth
    surface = abs(100.0 * k * jv(0, k * 0.0125) / (2 * np.pi * 0.0125 * jv(1, k * 0.0125))) * 1e-6
    exact = surface * np.abs(jv(0, k * r) / jv(0, k * 0.0125))
    below = 0.0125 - r
    skin = (below > 0.3 * depth) & (below < 3 * depth) & (r > 0)
    assert skin.sum() > 20
    np.testing.assert_allclose(painted[skin], exact[skin], rtol=0.06)


def test_zoom_names_the_metal_whose_skin_depth_it_shows() -> None:
    part = Part("bar", bar(0.02, 0.01, 0.001), (5e-6, 50e-6))
    metals = (MATERIALS["nickel"], MATERIALS["silver"])
    scene = scene_of([Conductor(part, MATERIALS["brass"], coats=metals)], 13.56e6)
    assert scene.spot.metal == "silver"
    skin = np.sqrt(2 / (2 * np.pi * 13.56e6 * 4e-7 * np.pi * MATERIALS["silver"].conductivity_at(20.0)))
    assert scene.spot.skin == pytest.approx(skin)
    figure = density_map(scene)
    assert any(t.get_text().startswith("skin depth in silver: 0.017") for t in figure.texts)


def test_the_page_names_the_largest_density_and_its_unit() -> None:
    """100 A over pi (5 mm)2; at direct current there is no skin to name."""
    figure = density_map(two_rods())
    words = [t.get_text() for t in figure.texts]
    assert words[0] == "Rods"
    assert "largest |J|: 1.27 A/mm² rms in thin" in words  # direct current has no crest
    assert not any("skin depth" in word for word in words)
    assert any(a.get_title(loc="left").startswith("|J|, rms [A/mm²]") for a in figure.axes)
