"""Places beside one another: the same figures as by centres, and a fault for each mistake."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from crosscurrent.casefile.case import Case, checked_case
from crosscurrent.casefile.faults import CaseError
from crosscurrent.casefile.reader import read_case
from crosscurrent.geometries.plane.neighbours import neighbouring_parts
from crosscurrent.run import solve_case

BAR = {"shape": "bar", "width": "100 mm", "thickness": "6 mm", "material": "copper"}
ROD = {"shape": "round", "diameter": "10 mm", "material": "copper"}
BOX = {"shape": "box", "width": "200 mm", "thickness": "100 mm", "wall": "2 mm", "material": "steel"}
TUBE = {"shape": "tube", "diameter": "20 mm", "wall": "2 mm", "material": "copper"}


def case(*conductors: dict[str, Any], **more: Any) -> Case:
    """Conductors with a current in the first."""
    rows = [{"name": "abcdefgh"[k], **row} for k, row in enumerate(conductors)]
    circuit = [{"name": "feed", "current": "1 A", "out": [f"{rows[0]['name']}{'.*' if 'repeat' in rows[0] else ''}"]}]
    return checked_case({"frequency": {"at": ["0 Hz"]}, "conductor": rows, "circuit": circuit} | more)


def centres(found: Case) -> list[tuple[float, float]]:
    return [row.centre for row in found.data.conductor]


# a conductor placed beside the first one, and where that puts its centre [mm]
RELATIONS: list[tuple[dict[str, Any], dict[str, Any], tuple[float, float]]] = [
    (BAR, BAR | {"place": {"below": "a", "gap": "1 mm"}}, (0, -7)),
    (BAR, BAR | {"place": {"above": "a", "gap": "1 mm"}}, (0, 7)),
    (BAR, BAR | {"place": {"left_of": "a", "gap": "1/4 in"}}, (-106.35, 0)),
    (BAR, BAR | {"place": {"right_of": "a", "gap": "1 mm"}}, (101, 0)),
    (BAR, BAR | {"width": "60 mm", "place": {"above": "a", "gap": "1 mm", "align": "left"}}, (-20, 7)),
    (BAR, BAR | {"width": "60 mm", "place": {"above": "a", "gap": "1 mm", "align": "right", "shift": "-3 mm"}},
     (17, 7)),
    (BAR, BAR | {"thickness": "20 mm", "place": {"right_of": "a", "gap": "1 mm", "align": "top"}}, (101, -7)),
    (BAR, BAR | {"thickness": "20 mm", "place": {"left_of": "a", "gap": "1 mm", "align": "bottom"}}, (-101, 7)),
    (BAR | {"centre": ["5 mm", "8 mm"]}, BAR | {"place": {"below": "a", "gap": "2 mm", "shift": "4 mm"}}, (9, 0)),
    # coats count: 3 mm between finished faces
    (BAR | {"plating": [{"material": "silver", "thickness": "0.1 mm"}]},
     BAR | {"plating": [{"material": "tin", "thickness": "0.2 mm"}], "place": {"below": "a", "gap": "3 mm"}}, (0,
     -9.3)),
    # rounds are nearest along the line of their centres, 3-4-5
    (ROD, ROD | {"place": {"above": "a", "gap": "10 mm", "shift": "12 mm"}}, (12, 16)),
    (ROD, ROD | {"place": {"left_of": "a", "gap": "10 mm", "shift": "-16 mm"}}, (-12, -16)),
    (ROD, BAR | {"place": {"below": "a", "gap": "1 mm"}}, (0, -9)),
    # a turned bar by its bounding lines
    (BAR, BAR | {"turn": "90 deg", "place": {"right_of": "a", "gap": "1 mm", "align": "bottom"}}, (54, 47)),
    (BOX, ROD | {"place": {"inside": "a", "wall": "bottom", "gap": "10 mm"}}, (0, -33)),
    (BOX, ROD | {"place": {"inside": "a", "wall": "right", "gap": "3 mm", "align": "top", "shift": "-3 mm"}},
     (90, 40)),
    (BOX, ROD | {"place": {"inside": "a", "wall": "left", "gap": "3 mm", "shift": "2 mm"}}, (-90, 2)),
    (ROD | {"centre": ["1 mm", "2 mm"]}, TUBE | {"place": {"around": "a"}}, (1, 2)),
    (TUBE, ROD | {"diameter": "4 mm", "place": {"inside": "a", "wall": "top", "gap": "1 mm"}}, (0, 5)),
    (ROD | {"repeat": {"count": 3, "step": ["20 mm", "0 mm"]}}, ROD | {"place": {"above": "a.2", "gap": "1 mm"}},
     (20, 11)),
    (ROD | {"repeat": {"count": 3, "step": ["20 mm", "0 mm"]}}, BAR | {"place": {"above": "a.*", "gap": "1 mm"}},
     (20, 9)),
]  # fmt: skip


@pytest.mark.parametrize(("first", "second", "expected"), RELATIONS)
def test_every_relation_is_the_same_as_its_centre(
    first: dict[str, Any], second: dict[str, Any], expected: tuple[float, float]
) -> None:
    x, y = expected
    found = case(first, second)
    by_hand = case(first, {k: v for k, v in second.items() if k != "place"} | {"centre": [f"{x} mm", f"{y} mm"]})
    assert centres(found) == centres(by_hand)


def test_a_whole_case_gives_the_same_figures_to_the_last_digit() -> None:
    circuit = [{"name": "feed", "current": "900 A", "out": ["a"], "back": ["b"]}]
    pair = {"circuit": circuit, "frequency": {"at": ["5 kHz"]}}
    small = BAR | {"width": "20 mm", "thickness": "3 mm", "edge_radius": "0.3 mm"}
    placed = solve_case(case(small, small | {"place": {"below": "a", "gap": "0.7 mm"}}, **pair))
    by_hand = solve_case(case(small, small | {"centre": ["0 mm", "-3.7 mm"]}, **pair))
    assert placed.points == by_hand.points


def test_chains_resolve_in_any_order() -> None:
    chain = [
        BAR | {"place": {"below": "b", "gap": "1 mm"}},
        BAR | {"place": {"below": "c", "gap": "2 mm"}},
        BAR,
        BAR | {"place": {"above": "c", "gap": "3 mm"}},
    ]
    assert centres(case(*chain)) == [(0.0, -0.015), (0.0, -0.008), (0.0, 0.0), (0.0, 0.009)]


def test_around_gives_the_bore() -> None:
    found = case(
        ROD, {"shape": "tube", "wall": "1 mm", "material": "copper", "place": {"around": "a", "gap": "5 mm"}},
        {"shape": "box", "wall": "2 mm", "material": "steel", "place": {"around": "b", "gap": "10 mm"}},
    )  # fmt: skip
    tube, box = found.problem().section.parts[1:]
    assert [2 * o.bounds[1, 0] for o in tube.outlines] == pytest.approx([0.022, 0.020])
    assert (box.bounds[1] - box.bounds[0]).tolist() == pytest.approx([0.046, 0.046])


@pytest.mark.parametrize(
    ("sizes", "outer", "wall"),
    [
        ({"diameter": "20 mm", "bore": "16 mm"}, 0.02, 0.002),
        ({"wall": "2 mm", "bore": "16 mm"}, 0.02, 0.002),
        ({"diameter": "20 mm", "wall": "2 mm"}, 0.02, 0.002),
    ],
)
def test_tubes_take_two_of_three(sizes: dict[str, str], outer: float, wall: float) -> None:
    (part,) = case({"shape": "tube", "material": "copper", **sizes}).problem().section.parts
    assert part.bounds[1, 0] == pytest.approx(outer / 2, abs=1e-15)
    assert part.shape.holes[0].bounds[1, 0] == pytest.approx(outer / 2 - wall, abs=1e-15)


@pytest.mark.parametrize(
    "sizes",
    [
        {"width": "30 mm", "thickness": "20 mm", "wall": "2 mm"},
        {"inner_width": "26 mm", "thickness": "20 mm", "wall": "2 mm"},
        {"inner_width": "26 mm", "inner_thickness": "16 mm", "wall": "2 mm"},
        {"inner_width": "26 mm", "width": "30 mm", "thickness": "20 mm"},
        {"width": "30 mm", "inner_thickness": "16 mm", "thickness": "20 mm"},
    ],
)
def test_boxes_by_inner_sizes(sizes: dict[str, str]) -> None:
    (part,) = case({"shape": "box", "material": "copper", **sizes}).problem().section.parts
    assert part.bounds.ravel().tolist() == pytest.approx([-0.015, -0.01, 0.015, 0.01], abs=1e-15)
    assert part.shape.holes[0].bounds[1].tolist() == pytest.approx([0.013, 0.008], abs=1e-15)


def test_copies_at_a_gap_share_a_width() -> None:
    (row,) = case(BAR | {"repeat": {"count": 4, "gap": "10 mm", "along": "x", "split": "width"}}).data.conductor
    assert (row.width, row.repeat.step) == (0.025, (0.035, 0.0))  # type: ignore[attr-defined]
    (row,) = case(BAR | {"repeat": {"count": 3, "gap": "2 mm", "along": "y"}}).data.conductor
    assert (row.width, row.repeat.step) == (0.1, (0.0, 0.008))  # type: ignore[attr-defined]


def test_a_mirror_image_is_one() -> None:
    left = {"shape": "angle", "width": "40 mm", "height": "60 mm", "thickness": "5 mm", "material": "copper"}
    mirror = left | {"mirrored": "left-right", "place": {"right_of": "a", "gap": "3 mm"}}
    one, other = case(left, mirror).problem().section.parts
    across = one.bounds[1, 0] + 0.0015
    inside = [(x * 1e-3, y * 1e-3) for x in range(-19, 20, 3) for y in range(-29, 30, 3)]
    assert one.contains(inside).tolist() == other.contains([(2 * across - x, y) for x, y in inside]).tolist()
    assert one.area == pytest.approx(other.area)
    (pair,) = neighbouring_parts([one, other])
    assert pair.gap == pytest.approx(0.003)


def test_names_move_together(tmp_path: Path) -> None:
    text = """
[named]
thick = "{} +- 0.1 mm"
gap = "1 mm"
metal = "copper"
count = 2
[frequency]
at = ["0 Hz"]
[[conductor]]
name = "b"
shape = "bar"
width = "50 mm"
thickness = "thick"
material = "metal"
place = {{ below = "a.*", gap = "gap" }}
[[conductor]]
name = "a"
shape = "bar"
width = "50 mm"
thickness = "thick"
material = "metal"
repeat = {{ count = "count", gap = "gap", along = "y" }}
[[circuit]]
name = "feed"
current = "10 A +- 2 %"
out = ["a.*"]
back = ["b"]
"""
    for thick in (6, 8):
        path = tmp_path / "case.toml"
        path.write_text(text.format(f"{thick} mm"), encoding="utf-8")
        b, a = read_case(path).data.conductor
        assert b.centre == (0.0, pytest.approx(-(thick + 1) * 1e-3))
        assert a.repeat is not None
        assert a.repeat.step == (0.0, pytest.approx((thick + 1) * 1e-3))


FAULTY: list[tuple[dict[str, Any], str]] = [
    ({"place": {"below": "z", "gap": "1 mm"}},
     'expected the name of another conductor or of one copy, found "z"; the con'),
    ({"place": {"below": "aa", "gap": "1 mm"}}, 'found "aa"; did you mean "a"?'),
    ({"place": {"below": "b", "gap": "1 mm"}}, 'places that begin at a conductor with a centre, found "b" beside "b"'),
    ({"place": {"below": "a.2", "gap": "1 mm"}}, 'found "a.2"; "a" has no such copy'),
    ({"place": {"gap": "1 mm"}}, "expected exactly one of above, below, left_of, right_of, around, inside, found none"),
    ({"place": {"below": "a", "above": "a", "gap": "1 mm"}}, "found above and below; write one"),
    ({"place": {"below": "a", "left_of": "a", "gap": "1 mm"}}, "found below and left_of"),
    ({"place": {"around": "a", "inside": "a"}}, "found around and inside"),
    ({"place": {"below": "a"}}, 'expected the gap of the finished faces, found no gap; add gap = "3 mm"'),
    ({"place": {"inside": "a", "wall": "left"}}, "expected the gap of the finished faces"),
    ({"place": {"below": "a", "gap": "0 mm"}}, "expected a length, from 10 nm to 100 m"),
    ({"place": {"below": "a", "gap": "-1 mm"}}, "write it without the minus sign"),
    ({"place": {"below": "a", "gap": 1}}, "found the bare number 1"),
    ({"place": {"below": "a", "gap": "1 kHz"}}, 'found "1 kHz" (a frequency)'),
    ({"place": {"below": "a", "gap": "gap"}}, 'found "gap"; begin with a number'),
    ({"place": {"below": "a", "gap": "1 mm +- 1 kHz"}}, "a tolerance behind +-, a length with a unit"),
    ({"place": {"below": "a", "gap": "1 mm +-"}}, "a tolerance behind +-"),
    ({"place": {"below": "a", "gap": "1 mm +- -0.1 mm"}}, "write it without the minus sign"),
    ({"place": {"below": "a", "gap": "1 mm", "align": "top"}}, 'align = centre, left or right with below, found "top"'),
    ({"place": {"left_of": "a", "gap": "1 mm", "align": "left"}}, "align = centre, top or bottom with left_of"),
    ({"place": {"around": "a", "align": "left"}}, "align = centre with around"),
    ({"place": {"below": "a", "gap": "1 mm", "align": "middle"}}, '"centre" or "left" or "right" or "top" or "bottom"'),
    ({"place": {"below": "a", "gap": "1 mm", "wall": "left"}},
     'expected wall together with inside, found "left" without'),
    ({"place": {"inside": "a", "gap": "1 mm"}}, "expected wall together with inside, found none"),
    ({"place": {"inside": "a", "gap": "1 mm", "wall": "floor"}}, '"left" or "right" or "top" or "bottom"'),
    ({"place": {"inside": "a", "gap": "1 mm", "wall": "left"}}, 'a conductor with one bore, found "a"; name a box'),
    ({"place": {"around": "a", "gap": "1 mm"}}, 'a gap around only of a hollow conductor, found the shape "bar"'),
    ({"place": {"below": "a", "gap": "1 mm", "offset": "1 mm"}}, "an unknown word"),
    ({"place": {"below": "a", "gap": "1 mm"}, "centre": ["0 mm", "0 mm"]}, "either centre or place, found both"),
    ({"place": "below a"}, "expected a table"),
    ({"place": {"below": "a", "gap": "1 mm", "shift": "1"}}, "(no unit)"),
    ({"place": {"below": 3, "gap": "1 mm"}}, "text in quotes, found the number 3"),
    ({"repeat": {"count": 2}}, "expected either step or gap, found neither"),
    ({"repeat": {"count": 2, "step": ["1 mm", "20 mm"], "gap": "1 mm"}}, "expected either step or gap, found both"),
    ({"repeat": {"count": 2, "gap": "1 mm", "along": "z"}}, '"x" or "y"'),
    ({"repeat": {"count": 2, "gap": "9 mm", "along": "y", "split": "diameter"}},
     "a dimension that the conductor gives"),
    ({"mirrored": "upside-down"}, '"left-right" or "top-bottom"'),
    ({"shape": "tube", "width": None, "thickness": None, "wall": "1 mm"}, "two of diameter, wall, bore, found wall"),
    ({"shape": "tube", "width": None, "thickness": None, "wall": "1 mm", "bore": "8 mm", "diameter": "10 mm"},
     "found diameter, wall, bore; leave bore out"),
    ({"shape": "box", "width": "30 mm", "thickness": "20 mm"},
     "a wall, or one inner size beside its outer one, found no wall"),
    ({"shape": "tube", "width": None, "thickness": None, "wall": "1 mm", "bore": "30 mm",
      "place": {"around": "a", "gap": "1 mm"}}, "either the gap or bore, found both"),
    ({"shape": "box", "width": "300 mm", "thickness": None, "wall": "2 mm", "place": {"around": "a", "gap": "1 mm"}},
     "the wall alone, since the gap around gives all else, found width"),
]  # fmt: skip


@pytest.mark.parametrize(("changed", "words"), FAULTY)
def test_a_faulty_place_is_one_fault(changed: dict[str, Any], words: str) -> None:
    row = {key: value for key, value in {**BAR, "name": "b", **changed}.items() if value is not None}
    row |= {} if "place" in changed or "centre" in changed else {"centre": ["0 mm", "-300 mm"]}
    with pytest.raises(CaseError) as caught:
        case(BAR, row)
    assert len(caught.value.faults) == 1, str(caught.value)
    assert words in str(caught.value)


TWICE: list[tuple[dict[str, str], list[str]]] = [
    ({"below": "a", "align": "top"}, ["place", "place align"]),
    ({"below": "a", "wall": "left", "align": "left", "gap": "1 mm"}, ["place wall"]),
    ({"right_of": "a", "wall": "left", "align": "left", "gap": "1 mm"}, ["place wall", "place align"]),
    ({"around": "a", "wall": "top", "align": "right"}, ["place wall", "place align"]),
    ({"inside": "a", "align": "top"}, ["place", "place"]),
    ({"above": "z", "wall": "left", "align": "bottom"}, ["place", "place wall", "place align", "place above"]),
    ({"above": "z", "gap": "1 kHz"}, ["place gap", "place above"]),
]


@pytest.mark.parametrize(("place", "keys"), TWICE)
def test_each_mistake_of_a_place_is_told(place: dict[str, str], keys: list[str]) -> None:
    with pytest.raises(CaseError) as caught:
        case(BAR, {**BAR, "name": "b", "place": place})
    assert [fault.key for fault in caught.value.faults] == keys, str(caught.value)


def test_a_circle_is_told_once_and_what_waits_for_a_fault_is_not() -> None:
    ring = [
        BAR,
        BAR | {"place": {"below": "c", "gap": "1 mm"}},
        BAR | {"place": {"below": "d", "gap": "1 mm"}},
        BAR | {"place": {"below": "b", "gap": "1 mm"}},
        BAR | {"place": {"below": "d", "gap": "1 mm"}},
    ]
    with pytest.raises(CaseError) as caught:
        case(*ring)
    (fault,) = caught.value.faults
    assert fault.found == '"b" beside "c" beside "d" beside "b"'
    wrong = BAR | {"place": {"below": "a", "gap": "1 Hz"}}
    with pytest.raises(CaseError) as caught:
        case(BAR, wrong, BAR | {"place": {"below": "b", "gap": "1 mm"}})
    assert len(caught.value.faults) == 1


def test_rounds_that_miss_each_other() -> None:
    with pytest.raises(CaseError, match='a shift below 20 mm, found "25 mm"'):
        case(ROD, ROD | {"place": {"above": "a", "gap": "10 mm", "shift": "25 mm"}})
