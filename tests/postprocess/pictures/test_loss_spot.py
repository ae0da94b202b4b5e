"""Where the zoom goes: to the loss, off what is magnetic or carries no current unless asked, and its window."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest
from drawn_scenes import TITLE, maps_of, two_rods

from crosscurrent.geometries.arrays import FloatArray
from crosscurrent.geometries.meshing.shape_functions import quadrature
from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.shapes import bar
from crosscurrent.postprocess.answers.answers import answers
from crosscurrent.postprocess.answers.field_values import current_density
from crosscurrent.postprocess.pictures.kinds.current_density import density_map
from crosscurrent.postprocess.pictures.loss_spot import PLAIN, LossSpot
from crosscurrent.postprocess.pictures.scene import Scene
from crosscurrent.postprocess.pictures.views import PAPER, View
from crosscurrent.solver.field.problem import Circuit, Conductor, Problem
from crosscurrent.solver.field.solution import Solution
from crosscurrent.solver.field.solve import solve
from crosscurrent.solver.metals.materials import MATERIALS


def spot(skin: float) -> LossSpot:
    """On the upper side of a bar, 2 mm shown of it."""
    return LossSpot(0, np.array([0.01, 0.005]), np.array([0.0, -1.0]), "copper", skin, 0.002)


def beside_steel(*zoom: str) -> Scene:
    """Of `_solved`."""
    return Scene(_solved(), answers(_solved()), TITLE, zoom)


@cache
def _solved() -> Solution:
    """A wide copper bar out, a narrow one back, and a steel plate close to both, in which most loss is."""
    parts = (
        Conductor(Part("wide", bar(0.03, 0.004).placed((0.0, 0.006))), MATERIALS["copper"]),
        Conductor(Part("narrow", bar(0.012, 0.004).placed((0.0, 0.012))), MATERIALS["copper"]),
        Conductor(Part("plate", bar(0.04, 0.004)), MATERIALS["steel"]),
        Conductor(Part("screen", bar(0.03, 0.0005).placed((0.0, 0.003))), MATERIALS["brass"]),
    )
    return solve(Problem(parts, (Circuit("feed", 100.0, ("wide",), ("narrow",)),)), 20e3, accuracy=0.05)


def test_direct_current_has_most_loss_in_the_thin_rod() -> None:
    found = two_rods().spot
    assert (found.part, found.metal) == (0, "copper")
    assert found.skin == np.inf
    assert found.width == pytest.approx(4 * 0.005)  # four times 2 area / perimeter, the radius of a rod
    assert not found.is_worth_a_zoom(two_rods().views)


def test_the_largest_loss_of_what_carries_current_is_shown() -> None:
    scene = beside_steel()
    losses = {name: c.loss for name, c in scene.answers.conductors.items()}
    assert losses["narrow"] > losses["wide"]
    assert scene.conductors[scene.spot.part].name == "narrow"


@pytest.mark.parametrize("name", ["plate", "screen", "wide"])
def test_what_is_asked_for_is_shown(name: str) -> None:
    scene = beside_steel(name)
    assert scene.conductors[scene.spot.part].name == name
    zoom = next(a for a in maps_of(density_map(scene)) if a.get_title(loc="left").startswith("zoom"))
    assert name in zoom.get_title(loc="left")
    part = scene.parts[scene.spot.part]
    corners = np.array([zoom.get_xlim(), zoom.get_ylim()]).T
    assert part.contains(corners.mean(axis=0)[None])[0]


def loss_in(scene: Scene, window: FloatArray) -> float:
    """Of the zoomed conductor, by quadrature [arbitrary]."""
    d = scene.flow.discretisation
    rows = np.flatnonzero(d.mesh.part == scene.spot.part)
    places, weights = quadrature(20)
    position = d.elements.positions(rows, places)
    inside = ((position > window[0]) & (position < window[1])).all(axis=-1)
    strength = np.abs(current_density(scene.flow, rows, places)) ** 2
    return float((strength * inside * d.elements.maps(rows, places)[0] * weights).sum())


def test_no_other_window_along_the_surface_holds_more_loss() -> None:
    scene = beside_steel()
    best = loss_in(scene, scene.spot.window(1.5))
    (outline,) = (o for o in scene.outlines if o.part == scene.spot.part)
    others = [
        loss_in(scene, LossSpot(0, place, inward, "", 0.0, scene.spot.width).window(1.5))
        for place, inward in zip(outline.position[::9], outline.inward[::9], strict=True)
    ]
    assert best > 0.9 * max(others)
    assert best > 1.3 * np.median(others)


def test_the_window_has_its_middle_inside_the_metal() -> None:
    window = spot(1e-4).window(2.0)
    np.testing.assert_allclose(window[1] - window[0], [0.002, 0.001])
    np.testing.assert_allclose(window.mean(axis=0), [0.01, 0.005 - 0.00025])


def test_a_thin_coat_does_not_hide_the_skin() -> None:
    """10 um of silver at 85 kHz: the window shows four skin depths, not thirty coats."""
    part = Part("rod", bar(0.01, 0.01), (10e-6,))
    rod = Conductor(part, MATERIALS["copper"], coats=(MATERIALS["silver"],))
    solution = solve(Problem((rod,), (Circuit("feed", 10.0, ("rod",)),)), 85e3, accuracy=0.05)
    found = Scene(solution, answers(solution), TITLE).spot
    assert found.width == pytest.approx(4 * found.skin)


def test_a_zoom_is_worth_it_where_the_map_shows_the_skin_too_small() -> None:
    view = View(0.005 * np.array([-PAPER, PAPER]))  # 10 mm an inch
    assert spot(0.9 * PLAIN * 0.01).is_worth_a_zoom([view])
    assert not spot(1.1 * PLAIN * 0.01).is_worth_a_zoom([view])
    elsewhere = View(np.array([[0.02, -0.02], [0.088, 0.02]]))
    assert not spot(1e-6).is_worth_a_zoom([elsewhere])
