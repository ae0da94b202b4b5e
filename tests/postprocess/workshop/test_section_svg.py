"""A section as SVG: well-formed, true arcs, to scale, names escaped."""

import re
import xml.etree.ElementTree as ET

import numpy as np
import pytest

from crosscurrent.geometries.plane.outline import Outline
from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.section import Section
from crosscurrent.geometries.plane.shapes import Shape, bar, box, round_bar, tube
from crosscurrent.postprocess.workshop.section_svg import section_svg

SVG = "{http://www.w3.org/2000/svg}"


def drawn(*parts):
    return ET.fromstring(section_svg(Section(parts)))


def metal(root):
    return [p for p in root.iter(f"{SVG}path") if p.get("fill-rule") == "evenodd"]


def loop_areas(data):
    """Enclosed area of every loop of path data made of M, L, A and Z, by Green's formula, y up."""
    areas, start, here, total = [], None, None, 0.0
    for letter, numbers in re.findall(r"([MLAZ])([^MLAZ]*)", data):
        n = [float(x) for x in numbers.split()]
        if letter == "Z":
            areas.append(total + _line(here, start))
            total = 0.0
            continue
        to = np.array(n[-2:]) * (1, -1)
        if letter == "M":
            start = to
        elif letter == "L":
            total += _line(here, to)
        else:
            radius, large, sweep = n[0], bool(n[3]), bool(n[4])
            chord = np.hypot(*(to - here))
            angle = 2 * np.arcsin(min(1.0, chord / (2 * radius)))
            angle = 2 * np.pi - angle if large else angle
            # in SVG's y-down plane sweep 1 is clockwise on paper
            total += _line(here, to) + (-1 if sweep else 1) * 0.5 * radius**2 * (angle - np.sin(angle))
        here = to
    return areas


def _line(a, b):
    return 0.5 * (a[0] * b[1] - a[1] * b[0])


def scale_of(root):
    """Pixels per millimetre, from the scale bar."""
    words = next(t.text for t in root.iter(f"{SVG}text") if "thou" in t.text)
    line = next(p for p in root.iter(f"{SVG}path") if p.get("stroke-width") == "3")
    start, end = re.fullmatch(r"M(\S+) \S+H(\S+)", line.get("d")).groups()
    return (float(end) - float(start)) / float(words.split()[0])


@pytest.mark.parametrize(
    ("shape", "outer", "hole"),
    [
        (bar(0.1, 0.006, 0.0005), 600 - (4 - np.pi) * 0.25, None),
        (tube(0.02, 0.001), np.pi * 100, np.pi * 81),
        (box(0.05, 0.03, 0.003, 0.002, 0.001), 1500 - (4 - np.pi) * 4, 44 * 24 - (4 - np.pi)),
        (Shape(Outline.of([(0.02, 0.0), (0.0, 0.02)], [np.tan(3 * np.pi / 8), 0.0])), 300 * np.pi + 200, None),
    ],
)
def test_arcs_are_true_and_to_scale(shape, outer, hole):
    root = drawn(Part("part", shape))
    areas = [abs(a) / scale_of(root) ** 2 for a in loop_areas(metal(root)[0].get("d"))]
    assert areas == pytest.approx([outer] + ([hole] if hole else []), rel=2e-4)


def test_names_are_escaped_and_control_characters_dropped():
    root = drawn(Part('a <b> & "c"\x07', bar(0.1, 0.02)))
    assert 'a <b> & "c"' in [t.text for t in root.iter(f"{SVG}text")]


def test_drawing_stays_on_its_sheet_and_y_points_up():
    root = drawn(Part("low", bar(0.01, 0.01)), Part("high", bar(0.01, 0.01).placed((0, 0.1))))
    width, height = (float(v) for v in root.get("viewBox").split()[2:])
    low, high = (
        np.array([n.split() for n in re.findall(r"[ML]([^MLAZ]*)", p.get("d"))], dtype=float) for p in metal(root)
    )
    every = np.concatenate((low, high))
    assert (every >= 0).all()
    assert (every <= (width, height)).all()
    assert high[:, 1].max() < low[:, 1].min()


def test_coat_is_drawn_around_the_metal():
    root = drawn(Part("plated", bar(0.01, 0.005), (0.0005,)))
    coat = next(root.iter(f"{SVG}path"))
    assert float(coat.get("stroke-width")) == pytest.approx(2 * 0.5 * scale_of(root), rel=1e-3)


def test_round_an_axis_both_halves_are_drawn_and_the_axis() -> None:
    parts = Part("billet", bar(0.03, 0.05)), Part("turn", round_bar(0.01).placed((0.03, 0.0)))
    found = section_svg(Section(parts, axial=True))
    assert found.count("<path") == 3 + 1 + 1  # metal, the axis, the scale bar
    assert "stroke-dasharray" in found
    assert ">axis</text>" in found
