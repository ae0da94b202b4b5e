"""Pictures: what they must show, checked on the files and on the figures' own contents."""

import xml.etree.ElementTree as ET
from itertools import pairwise

import matplotlib
import matplotlib.image
import numpy as np
import pytest
from drawn_scenes import TITLE, conductor, lightness, maps_of, scene_of

from crosscurrent.geometries.plane.shapes import bar, round_bar
from crosscurrent.postprocess.pictures import draw_pictures
from crosscurrent.postprocess.pictures.kinds.along_outline import outline_strips
from crosscurrent.postprocess.pictures.kinds.current_density import density_map
from crosscurrent.postprocess.pictures.kinds.flux_lines import flux_map
from crosscurrent.postprocess.pictures.kinds.phase import phase_map

SVG = "{http://www.w3.org/2000/svg}"
NAMES = ("current-density", "phase", "flux-lines", "along-outline")



def paths_of(drawn):
    return [path for one in drawn for path in (one.png, one.svg)]


@pytest.fixture(scope="module")
def facing():
    """A skin of 0.02 mm on bars 100 mm wide."""
    shape = bar(0.1, 0.006, 0.0005)
    return scene_of([conductor("outgoing", shape, (0, 0.0035)), conductor("return", shape, (0, -0.0035))], 8e6, 900.0)


@pytest.fixture(scope="module")
def apart():
    rod = round_bar(0.01)
    return scene_of([conductor("left", rod, (-0.1, 0)), conductor("right", rod, (0.1, 0))], 1e3)


@pytest.fixture(scope="module")
def written(facing, tmp_path_factory):
    folder = tmp_path_factory.mktemp("pictures")
    before = dict(matplotlib.rcParams)
    paths = paths_of(draw_pictures(facing.solution, facing.answers, TITLE, folder=folder))
    assert dict(matplotlib.rcParams) == before
    return paths


@pytest.fixture(scope="module")
def density_of_facing(facing):
    return density_map(facing)


@pytest.fixture(scope="module")
def figures_of_apart(apart):
    return density_map(apart), flux_map(apart)



def zoom_of(figure):
    return next(a for a in maps_of(figure) if a.get_title(loc="left").startswith("zoom"))



def solid(axes):
    """Lightness of the painted pixels of a map, NaN where nothing is painted."""
    image = np.asarray(axes.images[0].get_array())
    return np.where(image[..., 3] == 255, lightness(image[..., :3] / 255), np.nan)


def test_every_picture_is_written_twice(written):
    assert [p.name for p in written] == [f"{n}-8MHz.{kind}" for n in NAMES for kind in ("png", "svg")]
    assert all(p.stat().st_size < 1_500_000 for p in written)


def test_pictures_are_not_blank(written):
    for path in written[::2]:
        image = matplotlib.image.imread(path)[::3, ::3, :3]
        ink = (image < 0.97).any(axis=-1)
        assert 0.02 < ink.mean() < 0.9, path.name
        assert len(np.unique((image[ink] * 31).astype(int), axis=0)) > 60, path.name


def test_same_solution_gives_same_bytes(tmp_path):
    scene = scene_of([conductor("rod", round_bar(0.01))], 0.0)
    files = []
    for name in ("first", "again"):
        (tmp_path / name).mkdir()
        paths = paths_of(draw_pictures(scene.solution, scene.answers, "", folder=tmp_path / name))
        files.append([path.read_bytes() for path in paths])
    assert paths[0].name == "current-density-direct-current.png"
    assert files[0] == files[1]


def test_svg_holds_text_as_text_and_the_field_as_an_image(written):
    for path in written[1::2]:
        root = ET.fromstring(path.read_text(encoding="utf-8"))
        words = [t.text or "" for t in root.iter(f"{SVG}text")]
        assert TITLE in words, path.name
        assert any("8 MHz" in w for w in words)
        assert list(root.iter(f"{SVG}image")), path.name
        assert "<dc:date>" not in path.read_text(encoding="utf-8")


def test_maps_say_scale_unit_and_frequency(written):
    text = written[1].read_text(encoding="utf-8")
    for words in ("20 mm (787 thou)", "|J|, rms [A/mm²]", "8 MHz", "0.0234 mm (0.92 thou)", "skin depth", "outgoing"):
        assert words in text, words


def test_skin_a_thousandth_of_an_inch_thick_is_visible_in_zoom_and_map(density_of_facing):
    figure = density_of_facing
    zoom = solid(zoom_of(figure))
    assert np.nanmin(zoom) < 20
    assert np.nanmax(zoom) > 80
    whole = solid(maps_of(figure)[0])
    column = whole[:, whole.shape[1] // 3]
    metal = column[~np.isnan(column)]
    gap = np.flatnonzero(np.isnan(column[1:-1]) & ~np.isnan(column[:-2]))[-2]  # first empty pixel below the upper bar
    assert column[gap] < 30  # its facing side is dark
    assert np.median(metal) > 88  # and its inside is light


def test_zoom_lies_at_the_largest_density_and_is_a_few_skins_wide(facing, density_of_facing):
    zoom = zoom_of(density_of_facing)
    skin = 0.0234e-3
    assert 5 * skin < np.ptp(zoom.get_xlim()) < 20 * skin
    x, y = facing.spot.place
    assert abs(abs(y) - 0.0005) < 1.5 * skin  # on a facing side
    assert 0.0485 < abs(x) < 0.05  # near its end, where the edge begins


def test_maps_have_true_aspect(facing, density_of_facing, figures_of_apart):
    for figure in (density_of_facing, phase_map(facing), *figures_of_apart):
        assert maps_of(figure)
        for axes in maps_of(figure):
            box = axes.get_window_extent()
            drawn = np.ptp(axes.get_xlim()) / np.ptp(axes.get_ylim())
            assert drawn == pytest.approx(box.width / box.height, rel=0.01)
            rows, columns = axes.images[0].get_array().shape[:2]
            assert columns / rows == pytest.approx(drawn, rel=0.02)



def test_far_apart_parts_get_panels_of_their_own(figures_of_apart):
    figure, flux = figures_of_apart
    assert len(maps_of(figure)) == 2
    assert all(np.ptp(a.get_xlim()) < 0.015 for a in maps_of(figure))
    assert any("far apart" in t.get_text() for t in figure.texts)
    whole, *single = maps_of(flux)
    assert np.ptp(whole.get_xlim()) > 0.21
    assert len(single) == 2


def test_thin_strip_is_shown_in_pieces_at_readable_scale():
    figure = density_map(scene_of([conductor("strip", bar(0.1, 0.001))], 10e3))
    pieces = [a for a in maps_of(figure) if " to " in a.get_title(loc="left")]
    assert len(pieces) >= 3
    ends = [a.get_xlim() for a in pieces]
    assert ends[0][0] < -0.05
    assert ends[-1][1] > 0.05
    assert all(a[1] == pytest.approx(b[0]) for a, b in pairwise(ends))
    per_mm = pieces[0].get_window_extent().width / (1e3 * np.ptp(ends[0]))
    assert per_mm > 25  # pixels for the millimetre of its thickness




def test_density_along_the_outline_names_faces_and_shows_the_facing_side(facing):
    figure = outline_strips(facing)
    words = [t.get_text() for a in figure.axes for t in a.texts]
    assert words.count("lower face") == words.count("upper face") == 2
    upper = next(a for a in figure.axes if a.lines)
    length, strength = upper.lines[0].get_xydata().T
    assert length[-1] == pytest.approx(2 * (99 + 5) + np.pi, rel=1e-6)  # perimeter [mm]
    assert (np.diff(length) >= 0).all()
    # wide facing plates: the sheet current I / w flows under the facing side; sqrt(2) / depth turns it into density
    expected = 900 / 100.5 * np.sqrt(2) / 0.0233668
    assert np.interp(50, length, strength) == pytest.approx(expected, rel=0.03)
    assert np.interp(155, length, strength) < 0.05 * expected


def test_many_conductors_at_direct_current():
    shape = bar(0.02, 0.002)
    bars = [conductor(f"bar.{k}", shape, (0, 0.004 * k)) for k in range(8)]
    scene = scene_of(bars, 0.0)
    figure = density_map(scene)
    assert any(t.get_text() == "and 2 more, of smaller loss" for t in figure.texts)
    assert not any(a.get_title(loc="left").startswith("zoom") for a in figure.axes)
    strips = outline_strips(scene)  # six of the bars are idle: rows of theirs would be blank
    assert sum(bool(a.lines) for a in strips.axes) == 2
    assert any("not drawn, next to no current: 6 more" in t.get_text() for t in strips.texts)
