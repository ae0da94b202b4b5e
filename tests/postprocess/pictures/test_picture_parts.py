"""Parts of the pictures: flux lines, painted triangles, names, scale bars, notes."""

from itertools import combinations

import numpy as np
import pytest
from matplotlib.collections import LineCollection
from scipy.spatial import Delaunay

from crosscurrent.geometries.section import Part
from crosscurrent.geometries.shapes import angle, bar, round_bar, tube
from crosscurrent.postprocess.answers import answers
from crosscurrent.postprocess.pictures import draw_pictures
from crosscurrent.postprocess.pictures.contours import Levels
from crosscurrent.postprocess.pictures.developed import developed
from crosscurrent.postprocess.pictures.flux import flux_map
from crosscurrent.postprocess.pictures.maps import density_map
from crosscurrent.postprocess.pictures.raster import painted
from crosscurrent.postprocess.pictures.scene import Scene
from crosscurrent.solver.materials import MATERIALS
from crosscurrent.solver.problem import Circuit, Conductor, Problem
from crosscurrent.solver.solve import solve


def scene_of(frequency, *conductors, out=1):
    names = [c.name for c in conductors]
    feed = Circuit("feed", 100.0, tuple(names[:out]), tuple(names[out : out + 1]))
    solution = solve(Problem(tuple(conductors), (feed,)), frequency)
    return Scene(solution, answers(solution), "Feed")


def copper(name, shape, centre=(0.0, 0.0)):
    return Conductor(Part(name, shape.placed(centre, 0.0)), MATERIALS["copper"])


@pytest.fixture(scope="module")
def screened():
    shape = bar(0.04, 0.006)
    bars = copper("outgoing", shape, (0, 0.006)), copper("return", shape, (0, -0.006))
    return scene_of(1e3, *bars, copper("screen", tube(0.08, 0.002)))


@pytest.fixture(scope="module")
def coax():
    return scene_of(13.56e6, copper("core", round_bar(0.01)), copper("sheath", tube(0.03, 0.002)))


def lines_of(axes):
    return [np.asarray(s) for c in axes.collections if isinstance(c, LineCollection) for s in c.get_segments()]


def cone(slope, noise=0.0):
    """Height `slope` times the radius on a disc of radius 1."""
    ring, turn = np.meshgrid(np.linspace(0.05, 1, 40), np.linspace(0, 2 * np.pi, 120, endpoint=False))
    points = np.column_stack(((ring * np.cos(turn)).ravel(), (ring * np.sin(turn)).ravel()))
    value = slope * np.hypot(*points.T) + noise * np.random.default_rng(1).normal(size=len(points))
    return points, Delaunay(points).simplices, value


def test_lines_of_a_cone_are_whole_circles_at_whole_numbers():
    found = list(Levels(*cone(10.3), 0.0).lines(0.002))
    radii = sorted(float(np.hypot(*line.T).mean()) for line in found)
    np.testing.assert_allclose(radii, np.arange(1, 11) / 10.3, rtol=3e-3)
    for line in found:
        np.testing.assert_allclose(line[0], line[-1])
        assert np.ptp(np.hypot(*line.T)) < 3e-3


def test_lines_too_close_leave_every_second_or_fourth():
    """10 lines to a radius of 1: with pixels of 0.05 they stand 1.9 pixels apart, with 0.02 4.9."""
    sparse = len(list(Levels(*cone(10.3), 0.0).lines(0.05)))
    assert sparse < 6
    assert len(list(Levels(*cone(10.3), 0.0).lines(0.02))) == 10


def test_no_line_where_there_is_only_noise():
    points, triangles, value = cone(0.0, noise=1e-3)
    assert list(Levels(points, triangles, value + 3.0, 0.0).lines(0.01)) != []
    assert list(Levels(points, triangles, value + 3.0, 1.0).lines(0.01)) == []


def test_no_flux_lines_outside_a_coax(coax):
    """The field outside is zero by Ampere's law; inside, the lines are circles."""
    lines = lines_of(flux_map(coax).axes[0])
    assert len(lines) > 10
    radius = [np.hypot(*line.T) for line in lines]
    assert max(r.max() for r in radius) < 0.0132
    assert all(np.ptp(r) < 2e-5 for r in radius)


def test_painted_slivers_keep_between_their_colours_and_leave_no_hole():
    """A thousand slivers side by side, all of the same two colours."""
    x = np.linspace(-0.1, 1.1, 1001)
    points = np.concatenate((np.column_stack((x, np.full(1001, -0.1))), np.column_stack((x, np.full(1001, 1.1)))))
    k = np.arange(1000)
    triangles = np.concatenate((np.column_stack((k, k + 1, k + 1001)), np.column_stack((k + 1, k + 1002, k + 1001))))
    colours = np.ones((2002, 4))
    colours[:, 0], colours[:, 1] = np.repeat((0.2, 0.6), 1001), np.tile((0.4, 0.5), 1001)
    image = painted(np.array([[0.0, 0.0], [1.0, 1.0]]), 0.01, [(points, triangles, colours)])
    assert (image[..., 3] == 255).all()
    assert image[..., 0].min() >= 0.2 * 255
    assert image[..., 0].max() <= 0.6 * 255 + 1
    assert image[..., 1].min() >= 0.4 * 255 - 1
    assert image[..., 1].max() <= 0.5 * 255 + 1


def test_painted_edges_are_averaged():
    points = np.array([[0.0, 0.0], [1.0, 0.0], [0.0, 1.0]])
    paint = (points, np.array([[0, 1, 2]]), np.zeros((3, 4)))
    image = painted(np.array([[0.0, 0.0], [1.0, 1.0]]), 0.1, [paint], finer=2)
    opacity = image[..., 3] / 255
    assert opacity.sum() == pytest.approx(50, abs=5)
    assert ((opacity > 0) & (opacity < 1)).any()
    assert image[0, -1].tolist() == [255, 255, 255, 0]  # upper right


def boxes(figure, axes):
    """Names of a panel and their boxes on the page."""
    renderer = figure.canvas.get_renderer()
    names = [t for t in axes.texts if t.get_va() == t.get_ha() == "center"]
    return [(t.get_text(), t.get_window_extent(renderer)) for t in names]


def on_metal(scene, place):
    """Names of the parts a place lies on."""
    return [
        p.name
        for p in scene.parts
        if p.shape.outer.contains(place[None])[0] and not any(h.contains(place[None])[0] for h in p.shape.holes)
    ]


@pytest.mark.parametrize("draw", [density_map, flux_map])
@pytest.mark.parametrize("which", ["screened", "coax", "angled", "strips"])
def test_names_stand_on_their_own_part_or_in_air(draw, which, request):
    scene = request.getfixturevalue(which)
    figure = draw(scene)
    axes = figure.axes[0]
    found = boxes(figure, axes)
    assert sorted(name for name, _ in found) == sorted(p.name for p in scene.parts)
    to_section = axes.transData.inverted()
    for name, box in found:
        corners = to_section.transform([(x, y) for x in (box.x0, box.x1) for y in (box.y0, box.y1)])
        assert all(on_metal(scene, c) in ([], [name]) for c in corners), name
    assert not any(a.overlaps(b) for (_, a), (_, b) in combinations(found, 2))


@pytest.fixture(scope="module")
def angled():
    return scene_of(20e3, copper("angle", angle(0.04, 0.04, 0.005)), copper("rod", round_bar(0.008), (-0.008, -0.008)))


@pytest.fixture(scope="module")
def strips():
    shape = bar(0.1, 0.001)
    return scene_of(85e3, copper("outgoing strip", shape, (0, 0.001)), copper("return strip", shape, (0, -0.001)))


def test_every_panel_has_a_scale_bar_of_its_own():
    apart = scene_of(1e3, copper("bar", bar(0.02, 0.005), (-0.1, 0)), copper("rod", round_bar(0.004), (0.1, 0)))
    thin = scene_of(10e3, copper("strip", bar(0.1, 0.001)))
    for figure in (density_map(apart), flux_map(apart), density_map(thin)):
        panels = [a for a in figure.axes if a.images]
        assert len(panels) > 1
        assert all(any(" thou)" in t.get_text() for t in a.texts) for a in panels)


def test_zoom_names_the_metal_whose_skin_depth_it_shows():
    part = Part("bar", bar(0.02, 0.01, 0.001), (5e-6, 50e-6))
    metals = (MATERIALS["nickel"], MATERIALS["silver"])
    scene = scene_of(13.56e6, Conductor(part, MATERIALS["brass"], coats=metals))
    assert scene.spot.metal == "silver"
    skin = np.sqrt(2 / (2 * np.pi * 13.56e6 * 4e-7 * np.pi * MATERIALS["silver"].conductivity_at(20.0)))
    assert scene.spot.skin == pytest.approx(skin)
    figure = density_map(scene)
    assert any(t.get_text().startswith("skin depth in silver: 0.017") for t in figure.texts)


def test_white_notches_are_explained_where_there_are_some(strips, coax):
    said = [" ".join(t.get_text().strip() for t in developed(scene).texts) for scene in (strips, coax)]
    assert "white at a corner" in said[0]
    assert "white" not in said[1]


def test_notes_name_the_largest_losses_of_many():
    bars = [copper(f"bar.{k}", bar(0.02, 0.002), (0, 0.003 * k)) for k in range(8)]
    notes = scene_of(5e3, *bars, out=8).notes
    assert {n.split(":")[0] for n in notes[:2]} == {"bar.0", "bar.7"}  # the outer ones of a stack
    assert notes[-1] == "and 2 more, of smaller loss"


def test_missing_folder_is_an_error_of_the_system(coax, tmp_path):
    with pytest.raises(FileNotFoundError):
        draw_pictures(coax.solution, coax.answers, "", folder=tmp_path / "none")


@pytest.fixture(scope="module")
def bent():
    """A rod close to a concave corner, and a long name."""
    corner = copper("a rather long name for an angle", angle(0.04, 0.04, 0.005))
    return scene_of(50e3, corner, copper("rod", round_bar(0.002), (-0.0135, -0.0135)))


@pytest.mark.parametrize("draw", [density_map, flux_map, developed])
@pytest.mark.parametrize("which", ["screened", "coax", "angled", "strips", "bent"])
def test_no_texts_overlap_or_leave_the_page(draw, which, request):
    figure = draw(request.getfixturevalue(which))
    figure.draw_without_rendering()
    renderer = figure.canvas.get_renderer()
    axes_texts = [t for a in figure.axes for t in (*a.texts, a._left_title, a.xaxis.label)]
    said = [t for t in (*figure.texts, *axes_texts) if t.get_text()]
    found = [(t.get_text(), t.get_window_extent(renderer)) for t in said]
    width, height = figure.canvas.get_width_height()
    for text, box in found:
        assert min(box.x0, box.y0, width - box.x1, height - box.y1) >= 0, text
    for (one, a), (two, b) in combinations(found, 2):
        shared = min(a.x1, b.x1) - max(a.x0, b.x0), min(a.y1, b.y1) - max(a.y0, b.y0)
        assert min(shared) < 2.5, (one, two)  # pixels: lines of a block touch
