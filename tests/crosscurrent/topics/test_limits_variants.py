"""A case with a tenth less or more of one thing."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
from topic_cases import one_rod

from crosscurrent.casefile.case import checked_case
from crosscurrent.casefile.reader import read_case
from crosscurrent.topics.limits_variants import changed, tried

BARE = {"temperature_bare": "90 degC"}
WORDS = ("thickness", "width", "gap bar.1 to bar.2")
STACK = """
[frequency]
at = ["0 Hz", "50 Hz"]
[[conductor]]
name = "bar"
shape = "bar"
width = "40 mm"
thickness = "5 mm"
turn = "{turn} deg"
material = "copper"
repeat = {{ count = 3, step = {step} }}
[[conductor]]
name = "late"
shape = "bar"
width = "40 mm"
thickness = "5 mm"
turn = "{turn} deg"
material = "copper"
centre = {late}
[[conductor]]
name = "wall"
shape = "bar"
width = "200 mm"
thickness = "3 mm"
turn = "{turn} deg"
material = "steel"
centre = {wall}
[[circuit]]
name = "feed"
current = "500 A"
out = ["bar.1", "late"]
back = ["bar.2", "bar.3"]
[limits]
force = "1 N/m"
"""


@pytest.mark.parametrize("upright", [False, True])
def test_gaps_stay_when_parts_grow(tmp_path: Path, upright: bool) -> None:
    """Stacked at 1 mm gaps, a hair apart sideways, the last further away, in front of a wall; flat and turned."""

    def place(along: float, across: float) -> str:
        return f'["{across if not upright else along} mm", "{along if not upright else across} mm"]'

    case = STACK.format(turn=90 * upright, step=place(6, 0.01), late=place(30, 0.1), wall=place(-20, 0))
    (tmp_path / "stack.toml").write_text(case, encoding="utf-8")
    found = read_case(tmp_path / "stack.toml")
    axis = 0 if upright else 1
    changes = dict(changed(found, found.data))

    def boxes(name: str) -> list[Any]:
        rows = changes[name].conductor if name else found.data.conductor
        return [part.shape.outer.bounds for row in rows for part in row.parts()]

    def gaps(name: str) -> list[float]:
        ordered = sorted(boxes(name), key=lambda box: float(box[0, axis]))
        return [float(b[0, axis] - a[1, axis]) for a, b in pairwise(ordered)]

    before, thicker, wider, spread = (gaps(name) for name in ("", *(f"10 % more {w}" for w in WORDS)))
    assert min(thicker) == pytest.approx(min(before), abs=1e-9)
    assert all(a >= b - 1e-9 for a, b in zip(thicker, before, strict=True))
    assert wider == pytest.approx(before, abs=1e-9)
    assert min(spread) == pytest.approx(1.1 * min(before), abs=1e-9)
    # a hair apart sideways stays a hair
    sides = [float(box[:, 1 - axis].mean()) for box in boxes("10 % more width")[:4]]
    assert max(sides) - min(sides) == pytest.approx(1e-4, rel=1e-6)


def test_bars_askew_are_not_grown_into_their_gap(tmp_path: Path) -> None:
    """Turned by 45 degrees, 7.07 mm apart between middles: thicker bars would halve the gap, wider ones keep it."""
    case = STACK[: STACK.index('[[conductor]]\nname = "late"')].format(turn=45, step='["-5 mm", "5 mm"]')
    feed = '[[circuit]]\nname = "feed"\ncurrent = "1 A"\nout = ["bar.1"]\nback = ["bar.3"]\n'
    (tmp_path / "askew.toml").write_text(case + feed, encoding="utf-8")
    found = read_case(tmp_path / "askew.toml")
    names = [what for what, _ in changed(found, found.data)]
    assert "10 % more thickness" not in names
    assert "10 % more width" in names


def pair(second: str, *more: dict[str, Any]) -> list[str]:
    """The names of the changes of two bars, the other so wide, and what stands beside them."""
    rows = [
        {"name": name, "shape": "bar", "width": width, "thickness": "6 mm", "centre": ["0 mm", y], "material": "copper"}
        for name, width, y in (("out", "60 mm", "8 mm"), ("wireless", second, "-8 mm"))
    ]
    feed = {"name": "feed", "current": "100 A", "out": ["out"], "back": ["wireless"]}
    case = checked_case({"frequency": {"at": ["50 Hz"]}, "conductor": [*rows, *more], "circuit": [feed]})
    return [what for what, _ in changed(case, case.data)]


def test_dimensions_and_gaps_say_whose_they_are_where_parts_differ() -> None:
    """Both bars alike need no name; of two widths, or beside a wall, it would be a riddle which is meant."""
    alike = ["10 % less current", "10 % more gap", "10 % more width", "10 % more thickness"]
    assert pair("60 mm") == alike
    assert pair("50 mm")[2:] == ["10 % more width of out, wireless", "10 % more thickness"]
    wall = {"name": "wall", "shape": "round", "diameter": "9 mm", "centre": ["0 mm", "-40 mm"], "material": "steel"}
    assert pair("60 mm", wall)[1] == "10 % more gap out to wireless"


def test_a_dimension_that_one_part_alone_has_says_whose_it_is() -> None:
    rod = {"name": "rod", "shape": "round", "diameter": "9 mm", "centre": ["0 mm", "-40 mm"], "material": "copper"}
    bar = {"name": "bar", "shape": "bar", "width": "60 mm", "thickness": "6 mm", "material": "copper"}
    feed = {"name": "feed", "current": "100 A", "out": ["rod"], "back": ["bar"]}
    case = checked_case({"frequency": {"at": ["50 Hz"]}, "conductor": [rod, bar], "circuit": [feed]})
    names = [what for what, _ in changed(case, case.data)]
    assert names[2:] == ["10 % more width of bar", "10 % more thickness of bar", "10 % more diameter of rod"]


def test_one_conductor_inside_another_has_no_gap_to_widen(tmp_path: Path) -> None:
    rows = "".join(
        f'[[conductor]]\nname = "{name}"\nshape = "{shape}"\ndiameter = "{size} mm"\nmaterial = "copper"\n{more}'
        for name, shape, size, more in (("core", "round", 10, ""), ("sheath", "tube", 40, 'wall = "2 mm"\n'))
    )
    feed = '[[circuit]]\nname = "line"\ncurrent = "1 A"\nout = ["core"]\nback = ["sheath"]\n'
    (tmp_path / "coax.toml").write_text(f'[frequency]\nat = ["0 Hz"]\n{rows}{feed}', encoding="utf-8")
    found = read_case(tmp_path / "coax.toml")
    assert [what for what, _ in changed(found, found.data)] == [
        "10 % less current",
        "10 % more wall of sheath",
        "10 % more diameter of core, sheath",
    ]


def test_less_current_of_a_repeated_duty_helps() -> None:
    """The steady 100 A bring next to nothing: what helps is less current of the duty, by some 19 % of the rise."""
    duty = [{"name": "boats", "current": "600 A", "on": "10 min", "off": "10 min"}]
    case = one_rod("100 A", limits=BARE, duty=duty)
    less = dict(changed(case, case.data))["10 % less current"]
    assert less.duty[0].current == pytest.approx(540)
    assert less.circuit[0].current == pytest.approx(90)
    once = one_rod("100 A", duty=[{"name": "short circuit", "current": "5 kA", "on": "1 s"}])
    assert dict(changed(once, once.data))["10 % less current"].duty[0].current == 5e3


COIL = {
    "name": "turn", "shape": "tube", "diameter": "6 mm", "wall": "1 mm", "material": "copper",
    "centre": ["30 mm", "-8 mm"], "repeat": {"count": 3, "step": ["0 mm", "8 mm"]},
}  # fmt: skip
BILLET = {"name": "billet", "shape": "bar", "width": "30 mm", "thickness": "40 mm", "material": "brass"}


def coil(**more: Any) -> dict[str, Any]:
    return {
        "symmetry": "axial",
        "frequency": {"at": ["20 kHz"]},
        "conductor": [COIL, BILLET],
        "coil": [{"name": "work", "turns": ["turn.*"], "current": "100 A"}],
    } | more


def test_round_an_axis_turns_change_and_pieces_keep_their_radius() -> None:
    case = checked_case(coil())
    changes = dict(changed(case, case.data))
    assert list(changes)[:2] == ["10 % less current", "10 % more gap turn.1 to turn.2"]
    assert list(changes)[2:] == ["10 % more wall", "10 % more diameter"]
    turns, billet = zip(*(changes[name].conductor for name in list(changes)[1:]), strict=True)
    assert {row.centre for row in billet} == {(0.0, 0.0)}
    assert {row.width for row in billet} == {0.03}  # type: ignore[attr-defined]
    gap, wall, size = ([round(1e3 * z, 9) for _, z in row.copies.values()] for row in turns)
    assert gap == [-8.2, 0.0, 8.2]  # 2 mm between turns become 2.2 mm
    assert wall == [-8.0, 0.0, 8.0]
    assert size == pytest.approx([-8.6, 0.0, 8.6])  # 6.6 mm turns, still 2 mm apart


def test_steel_in_a_coil_is_not_solved_for_every_change() -> None:
    steel = {"bush": {"conductivity": "5 MS/m", "initial_permeability": 200, "saturation": "1.8 T"}}
    case = checked_case(coil(conductor=[COIL, BILLET | {"material": "bush"}], material=steel))
    assert tried(case) == ("a tenth less current",)
    assert [what for what, _ in changed(case, case.data)] == ["10 % less current"]
