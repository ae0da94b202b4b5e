"""Every fault of a section with its exact message, and close neighbours that are in order."""

import math
import time
import tracemalloc

import numpy as np
import pytest

from crosscurrent.geometries.errors import GeometryError
from crosscurrent.geometries.plane.checks import check_section
from crosscurrent.geometries.plane.outline import Outline
from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.section import Section
from crosscurrent.geometries.plane.shapes import Shape, bar, box, channel, circle, outline, round_bar, tube

RAIL = bar(0.1, 0.006, 0.0005)
PLATE = bar(0.1, 0.006).outer


def pair(gap, *coats):
    """Two rails one above the other, outgoing above."""
    upper, lower = RAIL.placed((0, 0.003 + gap / 2)), RAIL.placed((0, -0.003 - gap / 2))
    return Part("outgoing", upper, *coats[:1]), Part("return", lower, *coats[1:])


def alone(points, bulges=None, *coats):
    return (Part("lug", Shape(Outline.of(np.array(points) * 1e-3, bulges)), coats),)


def drilled(*holes):
    return (Part("plate", Shape(PLATE, holes)),)


def wheel(count, amplitude, radius=0.01):
    t = np.linspace(0, 2 * np.pi, count, endpoint=False)
    r = radius * (1 + amplitude * np.cos(20 * t))
    return Outline.of(np.column_stack((r * np.cos(t), r * np.sin(t))))


FAULTS = {
    "overlap": (
        pair(-0.0005),
        'conductors "outgoing" and "return" overlap by 0.5 mm near (0 mm, -0.25 mm); '
        "move them apart or make one of them smaller",
    ),
    "overlap of discs": (
        (Part("outgoing", round_bar(0.01)), Part("return", round_bar(0.02).placed((0.0149, 0)))),
        'conductors "outgoing" and "return" overlap by 0.1 mm near (5 mm, 0 mm); '
        "move them apart or make one of them smaller",
    ),
    "the same bar twice": (
        (Part("outgoing", RAIL), Part("return", RAIL)),
        'conductors "outgoing" and "return" overlap by 6 mm near (0 mm, 0 mm); '
        "move them apart or make one of them smaller",
    ),
    "crossed bars": (
        (Part("outgoing", bar(0.1, 0.01)), Part("return", bar(0.01, 0.1))),
        'conductors "outgoing" and "return" overlap by 55 mm near (0 mm, -5 mm); '
        "move them apart or make one of them smaller",
    ),
    "inside another's metal": (
        (Part("outgoing", bar(0.1, 0.1)), Part("return", bar(0.01, 0.01))),
        'conductors "outgoing" and "return" overlap by 55 mm near (-5 mm, -5 mm) ("return" lies wholly inside the '
        "other); move them apart or make one of them smaller",
    ),
    "rod through the wall of a tube": (
        (Part("rod", round_bar(0.01).placed((0.009, 0))), Part("shell", tube(0.03, 0.002))),
        'conductors "rod" and "shell" overlap near (14 mm, 0 mm); move them apart or make one of them smaller',
    ),
    "two pairs": (
        tuple(Part(f"rod.{k}", round_bar(0.01).placed((0.009 * k, 0))) for k in range(3)),
        'conductors "rod.0" and "rod.1" overlap by 1 mm near (5 mm, 0 mm); '
        "move them apart or make one of them smaller\n"
        'conductors "rod.1" and "rod.2" overlap by 1 mm near (14 mm, 0 mm); '
        "move them apart or make one of them smaller",
    ),
    "touching faces": (
        pair(0.0),
        'conductors "outgoing" and "return" touch at (-49.5 mm, 0 mm); leave a gap, or make them one conductor '
        "with `clad` if they are meant to touch",
    ),
    "touching discs": (
        (Part("outgoing", round_bar(0.01)), Part("return", round_bar(0.02).placed((0.015, 0)))),
        'conductors "outgoing" and "return" touch at (5 mm, 0 mm); leave a gap, or make them one conductor '
        "with `clad` if they are meant to touch",
    ),
    "flush in a channel": (
        (Part("bar", bar(0.042, 0.004)), Part("channel", channel(0.05, 0.03, 0.004))),
        'conductors "bar" and "channel" touch at (21 mm, -2 mm); leave a gap, or make them one conductor '
        "with `clad` if they are meant to touch",
    ),
    "too close for the mesh": (
        pair(1e-9),
        'conductors "outgoing" and "return" are only 0.001 um apart near (-49.5 mm, 0 mm); '
        "the mesh needs at least 0.5009 um here: widen the gap, or make them one conductor with `clad` if they are "
        "meant to touch",
    ),
    "clockwise": (
        alone([(0, 0), (0, 2), (1, 1), (2, 1.5)]),
        'conductor "lug" runs clockwise; give its points counter-clockwise (Outline.counter_clockwise)',
    ),
    "crossing": (
        alone([(0, 0), (4, 0), (4, 3), (2, -1), (0, 3)]),
        'conductor "lug" crosses or touches itself: sides 1 and 3 meet at (2.5 mm, 0 mm); '
        "give its points in order around the part, each once\n"
        'conductor "lug" crosses or touches itself: sides 1 and 4 meet at (1.5 mm, 0 mm); '
        "give its points in order around the part, each once",
    ),
    "a corner on a side": (
        alone([(0, 0), (4, 0), (4, 3), (2, 0), (0, 3)]),
        'conductor "lug" crosses or touches itself: sides 1 and 3 meet at (2 mm, 0 mm); '
        "give its points in order around the part, each once\n"
        'conductor "lug" crosses or touches itself: sides 1 and 4 meet at (2 mm, 0 mm); '
        "give its points in order around the part, each once",
    ),
    "an arc over its neighbours": (
        alone([(0, 0), (1, 0), (1, 1), (0, 1)], [0, -1.5, 0, 0]),
        'conductor "lug" crosses or touches itself: sides 1 and 2 meet at (0.583333 mm, 0 mm); '
        "give its points in order around the part, each once\n"
        'conductor "lug" crosses or touches itself: sides 2 and 3 meet at (0.583333 mm, 1 mm); '
        "give its points in order around the part, each once",
    ),
    "fold": (
        alone([(0, 0), (1, 0), (1, 2), (1, 1), (0, 1)]),
        'conductor "lug" folds back on itself: sides 2 and 3 leave no angle at (1 mm, 2 mm); '
        "open the corner or take one of the sides away",
    ),
    "narrow slot": (
        alone([(0, 0), (1, 0), (1, 1), (0.5 + 1e-8, 1), (0.5 + 1e-8, 0.5), (0.5, 0.5), (0.5, 1), (0, 1)]),
        'conductor "lug" nearly touches itself: sides 4 and 6 are 1e-05 um apart near (0.5 mm, 1 mm); '
        "the mesh needs at least 0.007071 um here",
    ),
    "hole outside": (
        drilled(circle(0.002).moved((0, 0.01))),
        'hole 1 of conductor "plate" lies outside its outline, at (0.707107 mm, 9.29289 mm); '
        "move it inside or leave it out",
    ),
    "hole around": (
        (Part("plate", Shape(PLATE, (bar(0.2, 0.2).outer,))),),
        'hole 1 of conductor "plate" lies outside its outline, at (-100 mm, -100 mm); move it inside or leave it out',
    ),
    "hole through the edge": (
        drilled(circle(0.002).moved((0, 0.0025))),
        'hole 1 of conductor "plate" crosses or touches its outline: side 1 of the hole and side 3 of its outline '
        "meet at (0.866025 mm, 3 mm); move the hole or make it smaller",
    ),
    "hole at the edge": (
        drilled(circle(0.002).moved((0, 0.002))),
        'hole 1 of conductor "plate" crosses or touches its outline: side 2 of the hole and side 3 of its outline '
        "meet at (0 mm, 3 mm); move the hole or make it smaller",
    ),
    "thin web": (
        drilled(circle(0.002).moved((0, 0.002 - 1e-9))),
        'hole 1 of conductor "plate" nearly touches its outline: side 2 of the hole and side 3 of its outline are '
        "0.001 um apart near (0 mm, 3 mm); the mesh needs at least 0.01002 um here",
    ),
    "holes overlap": (
        drilled(bar(0.002, 0.002).outer, bar(0.002, 0.001).outer.moved((0.001, 0))),
        'hole 2 of conductor "plate" crosses or touches hole 1: side 1 of the hole and side 2 of hole 1 meet at '
        "(1 mm, -0.5 mm); move the hole or make it smaller",
    ),
    "hole in a hole": (
        drilled(circle(0.002), circle(0.001)),
        'hole 2 of conductor "plate" lies inside hole 1; leave one of them out',
    ),
    "plating thicker than the part": (
        (Part("rail", RAIL, (1e-4, 3e-3)),),
        'the plating of conductor "rail", 3.1 mm, is thicker than half of the part\'s thickness of 6 mm; '
        "make it thinner",
    ),
    "plating thicker than the wall of a tube": (
        (Part("shell", tube(0.025, 0.002), (0.0011,)),),
        'the plating of conductor "shell", 1.1 mm, is thicker than half of the part\'s thickness of 2 mm; '
        "make it thinner",
    ),
    "plating without thickness": (
        (Part("rail", RAIL, (2e-6, 0.0)),),
        'conductor "rail" has a layer of plating without thickness (2 um, 0 mm); make it positive',
    ),
    "plating thicker than half the gap": (
        pair(0.001, (6e-4,)),
        'the plating of conductor "outgoing", 0.6 mm, is thicker than half of the gap of 1 mm between conductor '
        '"outgoing" and conductor "return" near (-49.5 mm, 0 mm); make it thinner or the gap wider',
    ),
    "platings that meet": (
        pair(0.001, (5e-4,), (4e-4, 1e-4)),
        'their plating leaves 0 mm of the gap of 1 mm between conductor "outgoing" and conductor "return" near '
        "(-49.5 mm, 0 mm); the mesh needs at least 0.5009 um here",
    ),
    "plating fills a bore": (
        (Part("core", round_bar(0.01), (0.0045,)), Part("shell", tube(0.03, 0.002))),
        'the plating of conductor "core", 4.5 mm, is thicker than half of the gap of 8 mm between conductor "core" '
        'and hole 1 of conductor "shell" near (6.36396 mm, -6.36396 mm); make it thinner or the gap wider',
    ),
    "plating fills a channel": (
        (Part("channel", channel(0.0113, 0.03, 0.004), (0.0019,)),),
        'the plating of conductor "channel", 1.9 mm, is thicker than half of the 3.3 mm between its own sides 4 and 6 '
        "near (1.65 mm, 15 mm); make it thinner or the slot wider",
    ),
    "plating fills a hollow": (
        alone([(0, 0), (8, 0), (8, 6), (5, 6), (3, 6), (0, 6)], [0, 0, 0, -1, 0, 0], 0.0011),
        'the plating of conductor "lug", 1.1 mm, does not fit into its hollow side 4 of radius 1 mm near '
        "(4 mm, 5 mm); make it thinner",
    ),
}


@pytest.mark.parametrize("name", FAULTS)
def test_a_fault_is_named_with_its_culprits(name):
    parts, words = FAULTS[name]
    with pytest.raises(GeometryError) as caught:
        Section(tuple(parts))
    assert str(caught.value) == words


SOUND = {
    "bars at 20 um": pair(20e-6),
    "bars at 20 um, tilted by a degree": tuple(
        Part(p.name, Shape(p.shape.outer.turned(math.radians(1)))) for p in pair(20e-6)
    ),
    "corner 20 um over a face": (
        Part("tilted", bar(0.1, 0.006).placed((0, 0), math.radians(1))),
        Part(
            "level",
            bar(0.1, 0.006).placed(
                (0, -0.05 * math.sin(math.radians(1)) - 0.003 * math.cos(math.radians(1)) - 0.003 - 20e-6)
            ),
        ),
    ),
    "coax": (Part("core", round_bar(0.01)), Part("shell", tube(0.03, 0.002))),
    "coax, plated inside and out": (
        Part("core", round_bar(0.01), (0.002,)),
        Part("shell", tube(0.03, 0.002), (0.001,)),
    ),
    "thickly plated thin shell around a near core": (
        Part("core", round_bar(0.0258)),
        Part("shell", tube(0.03, 0.002), (0.001,)),
    ),
    "nested tubes": tuple(Part(f"tube.{k}", tube(0.01 + 0.01 * k, 0.002)) for k in range(5)),
    "bar in a box": (Part("bar", bar(0.04, 0.02)), Part("box", box(0.06, 0.04, 0.003, 0.002, 0.001))),
    "bar in a channel": (Part("bar", bar(0.02, 0.004)), Part("channel", channel(0.05, 0.03, 0.004))),
    "plated bars": pair(0.001, (4e-4,), (4e-4,)),
    "plated channel": (Part("channel", channel(0.05, 0.03, 0.004, 0.0005), (1e-5,)),),
    "small step": alone([(0, 0), (1, 0), (1, 1), (0.5, 1), (0.5, 1 - 1e-8), (0, 1 - 1e-8)]),
    "keyhole": alone([(0, 0), (1, 0)], [0, 30.0]),
    "lens": alone([(-1, 0), (1, 0)], [0.3, 0.3]),
    "moon": alone([(-1, 0), (1, 0)], [2.0, -1.0]),
    "clockwise points": (Part("lug", outline([(0, 0), (0, 1), (1, 1), (1, 0)])),),
    "plated valleys of many small sides": (Part("wheel", Shape(wheel(2000, 0.1)), (1e-4,)),),
}


@pytest.mark.parametrize("name", SOUND)
def test_sound_neighbours_are_accepted(name):
    assert len(Section(SOUND[name]).parts) == len(SOUND[name])


@pytest.mark.parametrize("turn", [0.0, 1.0, 2.5])
@pytest.mark.parametrize(("gap", "sound"), [(0.6e-6, True), (0.4e-6, False), (1e-8, False), (-1e-7, False)])
def test_the_gap_that_counts_does_not_depend_on_the_place(turn, gap, sound):
    parts = tuple(Part(p.name, Shape(p.shape.outer.turned(turn).moved((0.3, -0.2)))) for p in pair(gap))
    if sound:
        Section(parts)
    else:
        with pytest.raises(GeometryError, match="outgoing"):
            Section(parts)


def test_small_parts_of_a_large_section_may_be_nearer_than_large_ones():
    """The limit goes by the smaller of the two parts: 10 mm bars 0.1 um apart in a section of a metre."""
    one, other = (bar(0.01, 0.002).placed((x, 0)) for x in (0.0, 0.01 + 1.1e-7))
    far = Part("far", bar(0.01, 0.002).placed((1.0, 0)))
    assert len(Section((Part("one", one), Part("other", other), far)).parts) == 3


@pytest.mark.parametrize("gap", [1e-9, 0.4e-7, 1e-7, 1e-5])
def test_a_piece_that_does_not_touch_is_found_at_every_distance(gap):
    piece = bar(0.01, 0.001).placed((0, 0.0015 + gap))
    with pytest.raises(GeometryError, match=r'"strap, piece 1" (are .* apart|does not touch)'):
        Section((Part("strap", bar(0.01, 0.002), pieces=(piece,)),))


def test_sides_are_numbered_as_the_user_gave_them():
    """The same crossing outline, given one way round and the other: the message names sides of the points given."""
    points = [(0, 0), (4, 0), (4, 3), (2, -1), (1, 4)]
    there, back = {"sides 1 and 3", "sides 1 and 4"}, {"sides 2 and 4", "sides 1 and 4"}
    for given, sides in ((points, there), (points[::-1], back)):
        with pytest.raises(GeometryError) as caught:
            Section((Part("lug", outline(given).placed((0.1, 0.2), 0.3)),))
        assert {line.split(": ")[1].split(" meet")[0] for line in str(caught.value).splitlines()} == sides


def test_a_long_list_of_faults_is_cut():
    rods = tuple(Part(f"rod.{k}", round_bar(0.01).placed((0.009 * k, 0))) for k in range(30))
    with pytest.raises(GeometryError) as caught:
        Section(rods)
    assert str(caught.value).splitlines()[20:] == ["and 9 more"]


def test_thousands_of_sides_are_checked_quickly_in_little_memory():
    wheels = tuple(Part(f"wheel.{k}", Shape(wheel(2000, 0.1).moved((0.0221 * k, 0)))) for k in range(3))
    tracemalloc.start()
    begin = time.perf_counter()
    Section(wheels)
    seconds = time.perf_counter() - begin
    _, peak = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert seconds < 5
    assert peak < 500e6


def test_many_that_overlap_are_counted_soon() -> None:
    """To say of each pair how far it overlaps took a minute for sixty of them."""
    rod = round_bar(0.008)
    for parts in (
        [Part(f"rod.{k}", rod.placed((1e-4 * k, 0.0))) for k in range(150)],
        [Part(f"rod.{k}", round_bar(0.008 + 1e-4 * k)) for k in range(150)],
    ):
        began = time.process_time()
        with pytest.raises(GeometryError) as caught:
            check_section(parts)
        assert time.process_time() - began < 10
        assert len(caught.value.faults) == 20
        assert caught.value.more > 900
        assert "only counted" not in str(caught.value)


def test_more_sides_than_a_section_has() -> None:
    angle = np.linspace(0, 2 * np.pi, 21_001)[:-1]
    ring = Shape(Outline.of(np.column_stack((np.cos(angle), np.sin(angle))).tolist(), [0.0] * len(angle)), ())
    with pytest.raises(GeometryError, match="the section has 21000 lines and arcs, more than 20000; draw fewer"):
        check_section([Part("ring", ring)])


@pytest.mark.parametrize(("wide", "radius"), [(0.04, 0.0), (0.04, 0.5e-3)])
def test_pieces_that_part_along_a_tangent_are_refused(wide, radius):
    """The mesher ran out of memory in the gap that tapers to nothing beside a rounded edge."""
    rail = bar(0.04, 0.006, 0.5e-3)
    with pytest.raises(GeometryError, match=r"part near .* along a tangent: the gap between them tapers to nothing"):
        check_section([Part("rail", rail, pieces=(bar(wide, 0.002, radius).placed((0.0, 0.004)),))])


def test_a_contact_that_ends_at_a_corner_is_none():
    rail = bar(0.04, 0.006, 0.5e-3)
    for wide in (0.03, 0.039):
        check_section([Part("rail", rail, pieces=(bar(wide, 0.002).placed((0.0, 0.004)),))])
    check_section([Part("lined", tube(0.02, 0.005), pieces=(round_bar(0.01),))])
