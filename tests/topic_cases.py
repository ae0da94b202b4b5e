"""Small cases that the tests of the further questions share."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from crosscurrent.casefile.case import Case, checked_case
from crosscurrent.casefile.reader import read_case
from crosscurrent.postprocess.answers.chapter import Chapter
from crosscurrent.postprocess.files.results import as_json
from crosscurrent.result import Result
from crosscurrent.run import solve_case


def chapter(result: Result, key: str) -> Chapter:
    """The chapter of that key; the test fails where there is none."""
    return next(c for c in result.chapters if c.key == key)


def tube(name: str, x: str, diameter: str = "12 mm", wall: str = "1 mm") -> dict[str, Any]:
    """A copper tube on the x axis."""
    return {
        "name": name, "shape": "tube", "diameter": diameter, "wall": wall, "material": "copper",
        "centre": [x, "0 mm"],
    }  # fmt: skip


def tubes(**more: Any) -> dict[str, Any]:
    """Two tubes that carry direct current out and back over 3 m; `more` replaces tables or adds them."""
    return {
        "length": "3 m",
        "frequency": {"at": ["0 Hz"]},
        "conductor": [tube("go", "-10 mm"), tube("back", "10 mm")],
        "circuit": [{"name": "feed", "current": "1000 A", "out": ["go"], "back": ["back"]}],
        **more,
    }


def solved_tubes(**more: Any) -> Result:
    """Their answers."""
    return solve_case(checked_case(tubes(**more)))


def bars(**more: Any) -> dict[str, Any]:
    """Two upright bars with 600 A at 50 Hz in surroundings of 40 degC; `more` replaces tables or adds them."""
    bar = {"shape": "bar", "width": "5 mm", "thickness": "50 mm", "material": "copper"}
    return {
        "frequency": {"at": ["50 Hz"]},
        "ambient": "40 degC",
        "conductor": [
            bar | {"name": "a", "centre": ["-20 mm", "0 mm"]},
            bar | {"name": "b", "centre": ["20 mm", "0 mm"]},
        ],
        "circuit": [{"name": "feed", "current": "600 A", "out": ["a"], "back": ["b"]}],
    } | more


def solved_bars(**more: Any) -> Result:
    """Their answers."""
    return solve_case(checked_case(bars(**more)))


def two_rods(**more: Any) -> dict[str, Any]:
    """Two rods 6 mm thick, 40 mm apart, with 10 A at 1 kHz over 2 m; `more` replaces tables or adds them."""
    rod = {"name": "rod", "shape": "round", "diameter": "6 mm", "material": "copper", "centre": ["-20 mm", "0 mm"]}
    return {
        "title": "Two rods",
        "length": "2 m",
        "frequency": {"at": ["1 kHz"]},
        "conductor": [rod | {"repeat": {"count": 2, "step": ["40 mm", "0 mm"]}} | more.pop("rod", {})],
        "circuit": [{"name": "pair", "current": "10 A", "out": ["rod.1"], "back": ["rod.2"]}],
    } | more


def solved_rods(**more: Any) -> Result:
    """Their answers."""
    return solve_case(checked_case(two_rods(**more)))


def one_rod(current: str, **more: Any) -> Case:
    """One rod of copper, 10 mm thick, at 0 Hz, dull, in air of 20 degC; a table of None is left out."""
    row = {"name": "rod", "shape": "round", "diameter": "10 mm", "material": "copper"} | more.pop("rod", {})
    circuit = [{"name": "feed", "current": current, "out": ["rod"]}]
    data = {"frequency": {"at": ["0 Hz"]}, "conductor": [row], "circuit": circuit, "cooling": {}} | more
    return checked_case({key: table for key, table in data.items() if table is not None})


def rod(current: str, **more: Any) -> Result:
    """Its answers."""
    return solve_case(one_rod(current, **more))


# Two bars of 50 x 5 mm, 10 mm apart between centres, with 500 A of direct current; `limits` are lines of [limits].
JUDGED_PAIR = """
title = "Pair"
length = "10 m"
[frequency]
at = ["0 Hz"]
[[conductor]]
name = "bar"
shape = "bar"
width = "50 mm"
thickness = "5 mm"
material = "own"
centre = ["0 mm", "-5 mm"]
repeat = {{ count = 2, step = ["0 mm", "10 mm"] }}
[material.own]
conductivity = "50 MS/m"
[[circuit]]
name = "feed"
current = "500 A"
out = ["bar.1"]
back = ["bar.2"]
[limits]
{limits}
"""
LOSS_OF_THE_PAIR = 2 * 500**2 / (50e6 * 250e-6)  # 40 W/m


def results(folder: Path, text: str) -> dict[str, Any]:
    """What results.json of a case file holds, no pictures drawn."""
    (folder / "case.toml").write_text(text, encoding="utf-8")
    result = solve_case(read_case(folder / "case.toml"))
    found: dict[str, Any] = json.loads(as_json(result.heading, result.points, result.chapters))
    return found


def judged(folder: Path, limits: str) -> dict[str, Any]:
    """results.json of that pair."""
    return results(folder, JUDGED_PAIR.format(limits=limits))


def verdict(result: Result, limit: str) -> dict[str, Any]:
    """The only row of a limit."""
    rows = [row for row in result.chapter("limits").record["limits"] if row["limit"] == limit]
    assert len(rows) == 1
    found: dict[str, Any] = rows[0]
    return found


# Two rods that carry 10 A out and back inside a screen that carries none.
SCREENED_RODS = """
title = "Two rods"
length = "2 m"
[frequency]
at = ["0 Hz", "1 kHz"]
[[conductor]]
name = "rod"
shape = "round"
diameter = "8 mm"
material = "copper"
centre = ["-6 mm", "0 mm"]
repeat = { count = 2, step = ["12 mm", "0 mm"] }
[[conductor]]
name = "screen"
shape = "tube"
diameter = "40 mm"
wall = "1 mm"
material = "aluminium-1350"
[[circuit]]
name = "pair"
current = "10 A"
out = ["rod.1"]
back = ["rod.2"]
"""


def brazing(**more: Any) -> dict[str, Any]:
    """Three turns with 60 A at 200 kHz round a hot fitting that is held; `more` replaces tables or adds them."""
    turn = tube("turn", "19 mm", "6 mm") | {"centre": ["19 mm", "-8 mm"]}
    fitting = {"name": "fitting", "shape": "bar", "width": "22 mm", "thickness": "24 mm", "material": "brass"}
    return {
        "title": "Brazing",
        "symmetry": "axial",
        "frequency": {"at": ["200 kHz"]},
        "accuracy": {"resistance": "1 %"},
        "conductor": [
            fitting | {"temperature": "390 degC"},
            turn | {"repeat": {"count": 3, "step": ["0 mm", "8 mm"]}},
        ],
        "coil": [{"name": "coil", "turns": ["turn.*"], "current": "60 A"}],
        "cooling": {"held": ["fitting"]},
    } | more
