"""Parts of the pictures: flux lines, painted triangles, names, scale bars, notes."""

from itertools import combinations

import numpy as np
import pytest
from matplotlib.collections import LineCollection

from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.shapes import angle, bar, round_bar, tube
from crosscurrent.postprocess.answers.answers import answers
from crosscurrent.postprocess.pictures.kinds.along_outline import outline_strips
from crosscurrent.postprocess.pictures.kinds.current_density import density_map
from crosscurrent.postprocess.pictures.kinds.flux_lines import flux_map
from crosscurrent.postprocess.pictures.scene import Scene
from crosscurrent.solver.field.problem import Circuit, Conductor, Problem
from crosscurrent.solver.field.solve import solve
from crosscurrent.solver.metals.materials import MATERIALS


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


def test_no_flux_lines_outside_a_coax(coax):
    """The field outside is zero by Ampere's law; inside, the lines are circles."""
    lines = lines_of(flux_map(coax).axes[0])
    assert len(lines) > 10
    radius = [np.hypot(*line.T) for line in lines]
    assert max(r.max() for r in radius) < 0.0132
    assert all(np.ptp(r) < 2e-5 for r in radius)


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
        assert all(any(t.get_text().endswith((" thou)", " in)")) for t in a.texts) for a in panels)



def test_white_notches_are_explained_where_there_are_some(strips, coax):
    said = [" ".join(t.get_text().strip() for t in outline_strips(scene).texts) for scene in (strips, coax)]
    assert "white at a corner" in said[0]
    assert "white" not in said[1]


def test_notes_name_the_largest_losses_of_many():
    bars = [copper(f"bar.{k}", bar(0.02, 0.002), (0, 0.003 * k)) for k in range(8)]
    notes = scene_of(5e3, *bars, out=8).notes
    assert {n.split(":")[0] for n in notes[:2]} == {"bar.0", "bar.7"}  # the outer ones of a stack
    assert notes[-1] == "and 2 more, of smaller loss"


@pytest.fixture(scope="module")
def bent():
    """A rod close to a concave corner, and a long name."""
    corner = copper("a rather long name for an angle", angle(0.04, 0.04, 0.005))
    return scene_of(50e3, corner, copper("rod", round_bar(0.002), (-0.0135, -0.0135)))


@pytest.mark.parametrize("draw", [density_map, flux_map, outline_strips])
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
