"""From a section to a mesh: every shape at every skin, and the hard ones made by hand."""

import math
from time import process_time

import numpy as np
import pytest
from hostile_sections import mesh_faults, scaled

from crosscurrent.geometries.meshing.mesher import mesh_section
from crosscurrent.geometries.plane import shapes
from crosscurrent.geometries.plane.inscribed import inscribed_radius
from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.section import Section

CATALOGUE = {
    "bar": shapes.bar(0.1, 0.006),
    "rounded bar": shapes.bar(0.1, 0.006, 0.0005),
    "full round bar": shapes.bar(0.1, 0.006, 0.003),
    "round": shapes.round_bar(0.025),
    "tube": shapes.tube(0.02, 0.001),
    "thin tube": shapes.tube(0.02, 5e-5),
    "box": shapes.box(0.05, 0.03, 0.003, 0.002, 0.001),
    "sharp box": shapes.box(0.05, 0.03, 0.003),
    "angle": shapes.angle(0.05, 0.04, 0.005, 0.001),
    "sharp angle": shapes.angle(0.05, 0.04, 0.005),
    "channel": shapes.channel(0.05, 0.04, 0.005, 0.001),
    "outline": shapes.outline(
        [(0, 0), (0.04, 0), (0.05, 0.02), (0.02, 0.03), (0, 0.02)],
        [0, 0.2, 0, -0.3, 0],
        [shapes.circle(0.008).moved((0.025, 0.01))],
    ),
}


@pytest.mark.parametrize("name", CATALOGUE)
@pytest.mark.parametrize("coats", [(), (2e-6, 1e-5)], ids=["bare", "plated"])
def test_catalogue(name, coats):
    if name == "thin tube" and coats:
        coats = (5e-7, 2e-6)
    section = Section((Part(name, CATALOGUE[name], coats),))
    thin = 2 * inscribed_radius(CATALOGUE[name].outer)
    for skin in (math.inf, thin, 1e-2 * thin, 1e-5 * thin):
        mesh = mesh_section(section, [[skin] * (1 + len(coats))])
        assert mesh_faults(section, mesh) == [], skin
        assert len(mesh.triangles) < 12_000, skin


def stack(count, width, thickness, gap, tilt=0.0):
    """Bars above one another, every second one tilted."""
    return [shapes.bar(width, thickness).placed((0.0, k * (thickness + gap)), tilt * (k % 2)) for k in range(count)]


def gapped(gap, tilt):
    """Two bars 100 x 6 mm, the upper one turned about its middle and lifted to leave the gap at its lower corner."""
    lift = 0.006 + gap + 0.05 * math.sin(tilt) - 0.003 * (1 - math.cos(tilt))
    return [shapes.bar(0.1, 0.006), shapes.bar(0.1, 0.006).placed((0.0, lift), tilt)]


def wedge(degrees):
    half = math.radians(degrees / 2)
    return [shapes.outline([(0.0, 0.0), (0.05, -0.05 * math.tan(half)), (0.05, 0.05 * math.tan(half))])]


def traced(count):
    angle = 2 * np.pi * np.arange(count) / count
    radius = 0.05 * (1 + 0.1 * np.cos(5 * angle))
    return [shapes.outline(np.column_stack((radius * np.cos(angle), radius * np.sin(angle))).tolist())]


def concentric(insulation):
    return [shapes.tube(0.03, 0.001), shapes.tube(0.03 - 2 * (0.001 + insulation), 0.001)]


HAND_MADE = {
    "gap of 20 um": (gapped(2e-5, 0.0), 20_000),
    "gap of 20 um, tilted a degree": (gapped(2e-5, math.radians(1)), 20_000),
    "stack of twelve": (stack(12, 0.1, 0.001, 2e-5), 20_000),
    "stack of twelve, every second tilted": (stack(12, 0.1, 0.002, 2e-3, math.radians(1)), 40_000),
    "foils": (stack(2, 0.2, 1e-4, 5e-5), 3_000),
    "wedge of 10 degrees": (wedge(10), 5_000),
    "wedge of 30 degrees": (wedge(30), 5_000),
    "traced, 500 points": (traced(500), 12_000),
    "tubes with 20 um between": (concentric(2e-5), 6_000),
    "eccentric tubes nearly touching": (
        [shapes.tube(0.03, 0.001), shapes.tube(0.02, 0.001).placed((0.00398, 0.0))], 12_000,
    ),
    "wire nearly touching a plate": (
        [shapes.bar(0.1, 0.003), shapes.round_bar(0.002).placed((0.01, 0.00252))], 6_000,
    ),
    "wire a thousand times smaller": (
        [shapes.round_bar(0.1), shapes.round_bar(1e-4).placed((0.0502, 0.003))], 6_000,
    ),
    "tiny step": (
        [shapes.outline([(0, 0), (0.05, 0), (0.05, 0.01), (0.02, 0.01), (0.02, 0.01002), (0, 0.01002)])], 6_000,
    ),
    "slot": (
        [
            shapes.outline(
                [
                    *((0, 0), (0.05, 0), (0.05, 0.01), (0.0201, 0.01)),
                    *((0.0201, 0.002), (0.02, 0.002), (0.02, 0.01), (0, 0.01)),
                ]
            )
        ],
        6_000,
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", HAND_MADE)
def test_hand_made(name):
    placed, most = HAND_MADE[name]
    section = Section(tuple(Part(f"part {k}", shape) for k, shape in enumerate(placed)))
    for skin in (math.inf, 1e-4, 1e-6):
        mesh = mesh_section(section, [[skin]] * len(placed))
        assert mesh_faults(section, mesh) == [], skin
        assert len(mesh.triangles) < most, skin


ARCS = {
    "both curved": ([(-10, 45), (-44, -1), (-1, -45), (54, 1)], [0.533, 0.439, 0.0, -0.031]),
    "one curved": (
        [(42, -6), (27, 39), (-27, 41), (-48, -2), (-16, -39), (21, -32)], [0.0, 0.512, 0.0, 0.0, -0.015, 0.437],
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", ARCS)
@pytest.mark.parametrize("coats", [(1e-6,), (5e-7, 2e-6), (2e-4,)])
def test_thin_coat_on_arcs_that_meet_at_an_angle(name, coats):
    """Its rays at the corners lead to the centre of neither side."""
    points, bulges = ARCS[name]
    section = Section((Part(name, shapes.outline([(x / 1e3, y / 1e3) for x, y in points], bulges), coats),))
    for skin in (math.inf, 1e-3, 1e-5):
        assert mesh_faults(section, mesh_section(section, [[skin] * (1 + len(coats))])) == []


@pytest.mark.parametrize("angle", [0.15, 0.4, 0.7])
def test_tip_beside_a_long_arc(angle):
    """The arc's elements are short there although its ends and its middle are far away."""
    near, far = 0.05 + 2e-5, 0.12
    tip = [(r * math.cos(angle + a), r * math.sin(angle + a)) for r, a in ((near, 0.0), (far, -0.3), (far, 0.3))]
    section = Section((Part("rod", shapes.round_bar(0.1)), Part("wedge", shapes.outline(tip))))
    mesh = mesh_section(section, [[math.inf], [math.inf]])
    assert mesh_faults(section, mesh) == []
    assert len(mesh.triangles) < 1000


def test_a_thousand_points_in_little_time():
    section = Section(tuple(Part("part", shape) for shape in traced(1000)))
    before = process_time()
    mesh = mesh_section(section, [[1e-4]])
    assert process_time() - before < 5  # goes with the square of the points
    assert len(mesh.triangles) < 30_000


def facing_bars(factor=1.0, turn=0.0, step=(0.0, 0.0)):
    cos, sin = math.cos(turn), math.sin(turn)
    return Section(
        tuple(
            Part(
                f"bar {k}",
                scaled(shapes.bar(0.1, 0.006, 0.0005), factor).placed(
                    (step[0] - factor * y * sin, step[1] + factor * y * cos), turn
                ),
            )
            for k, y in enumerate((-0.0035, 0.0035))
        )
    )


def test_same_input_same_mesh():
    one, other = (mesh_section(facing_bars(), [[1e-4], [1e-4]]) for _ in range(2))
    assert np.array_equal(one.points, other.points)
    assert np.array_equal(one.triangles, other.triangles)
    assert np.array_equal(one.region, other.region)


@pytest.mark.parametrize("moved", [{"factor": 1e-3}, {"factor": 30.0}, {"turn": 0.7}, {"step": (3.0, -2.0)}])
def test_turned_shifted_scaled(moved):
    """The boundaries get the same nodes; the interior may differ by a few triangles where it has a choice."""
    factor = moved.get("factor", 1.0)
    one = mesh_section(facing_bars(), [[1e-4], [1e-4]])
    other = mesh_section(facing_bars(**moved), [[1e-4 * factor]] * 2)
    assert len(one.faces) == len(other.faces)
    assert len(one.curved_edges) == pytest.approx(len(other.curved_edges), rel=0.02)
    assert len(one.triangles) == pytest.approx(len(other.triangles), rel=0.02)
    assert one.areas()[one.region == 0].sum() * factor**2 == pytest.approx(
        other.areas()[other.region == 0].sum(), rel=1e-11
    )
