"""A sound case: what the solver gets from it."""

from __future__ import annotations

import copy
import hashlib
import math
import random
import tomllib
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from crosscurrent.casefile.case import Case, checked_case
from crosscurrent.casefile.faults import CaseError, Fault
from crosscurrent.casefile.reader import read_case

TEXT = """title = "Pier: switchboard"
length = "2.4 m"
ambient = "35 degC"
accuracy = { resistance = "0.01 %" }

[frequency]
at = ["85 kHz", "0 Hz", "50 Hz"]
sweep = { from = "50 Hz", to = "5 MHz", points = 6 }

[material.bus-alloy]
resistivity = "0.03 uohm*m"
reference = "25 degC"
temperature_coefficient = "0.0038 /K"
permeability = 1.5

[[conductor]]
name = "phase a"
shape = "bar"
width = "40 mm"
thickness = "10 mm"
edge_radius = "1 mm"
centre = ["1 mm", "-2 mm"]
turn = "90 deg"
material = "bus-alloy"
temperature = "70 degC"
plating = [{ material = "nickel", thickness = "2 um" }, { material = "silver", thickness = "10 um" }]
repeat = { count = 3, step = ["20 mm", "5 mm"] }

[[conductor]]
name = "wall"
shape = "outline"
points = [["0 mm", "0 mm"], ["10 mm", "0 mm"], { arc_to = ["0 mm", "10 mm"], bulge = 0.41421356237309503 }]
holes = [[["2 mm", "2 mm"], { arc_to = ["4 mm", "2 mm"], bulge = 1 }]]
centre = ["-80 mm", "0 mm"]
material = "steel"

[[circuit]]
name = "a"
current = "1 kA"
phase = "-120 deg"
out = ["phase a.1", "phase a.3"]
back = ["phase a.2"]
sharing = "equal"
"""


@pytest.fixture
def case(tmp_path: Path) -> Case:
    path = tmp_path / "board.toml"
    path.write_text(TEXT)
    return read_case(path)


def test_what_the_file_says(case: Case, tmp_path: Path) -> None:
    assert (case.title, case.length) == ("Pier: switchboard", 2.4)
    assert case.accuracy == pytest.approx(1e-4)
    assert case.path == tmp_path / "board.toml"
    assert hashlib.sha256(case.source).digest() == hashlib.sha256(TEXT.encode()).digest()
    assert case.warnings == ()


def test_frequencies_are_sorted_and_each_once(case: Case) -> None:
    assert case.frequencies == pytest.approx((0, 50, 500, 5e3, 50e3, 85e3, 500e3, 5e6), rel=1e-12)
    assert case.frequencies[1] == 50.0
    assert case.frequencies[-1] == 5e6


def test_repeat_makes_numbered_copies(case: Case) -> None:
    conductors = case.problem().conductors
    assert [c.name for c in conductors] == ["phase a.1", "phase a.2", "phase a.3", "wall"]
    for k, c in enumerate(conductors[:3]):
        assert c.part.shape.outer.centroid == pytest.approx([0.001 + 0.02 * k, -0.002 + 0.005 * k], abs=1e-12)


def test_turned_bar_stands_upright(case: Case) -> None:
    bounds = case.problem().conductors[0].part.shape.outer.bounds
    assert np.ptp(bounds, axis=0) == pytest.approx([0.010, 0.040], rel=1e-12)
    # a rectangle less the four corners outside its quarter circles
    assert case.problem().conductors[0].part.area == pytest.approx(400e-6 - (4 - math.pi) * 1e-6, rel=1e-12)


def test_metals_and_temperatures(case: Case) -> None:
    phase, wall = case.problem().conductors[0], case.problem().conductors[3]
    assert phase.material.conductivity == pytest.approx(1 / 30e-9)
    assert (phase.material.reference, phase.material.permeability) == (25, 1.5)
    assert phase.material.conductivity_at(70) == pytest.approx(1 / (30e-9 * (1 + 0.0038 * 45)))
    assert (phase.temperature, wall.temperature) == (70, 35)
    assert [coat.name for coat in phase.coats] == ["nickel", "silver"]
    assert phase.part.coats == pytest.approx((2e-6, 10e-6))
    assert wall.material.name == "steel"


def test_outline_with_arcs_and_a_hole(case: Case) -> None:
    """A quarter disc of radius 10 mm, less a half disc of radius 1 mm."""
    wall = case.problem().conductors[3].part
    assert wall.area == pytest.approx(math.pi * (25e-6 - 0.5e-6), rel=1e-9)


def test_an_arc_on_the_first_entry_closes_the_loop() -> None:
    data = tomllib.loads(TEXT)
    data["conductor"][1]["holes"] = []
    data["conductor"][1]["points"] = [
        {"arc_to": ["-5 mm", "0 mm"], "bulge": 1},
        {"arc_to": ["5 mm", "0 mm"], "bulge": 1},
    ]
    wall = checked_case(data).problem().conductors[3].part
    assert wall.area == pytest.approx(math.pi * 25e-6, rel=1e-9)


def test_circuit(case: Case) -> None:
    (circuit,) = case.problem().circuits
    assert circuit.current == pytest.approx(complex(-500, -500 * math.sqrt(3)))
    assert (circuit.out, circuit.back, circuit.sharing) == (("phase a.1", "phase a.3"), ("phase a.2",), "equal")


@pytest.mark.parametrize(
    ("shape", "area"),
    [
        ({"shape": "round", "diameter": "10 mm"}, math.pi * 25),
        ({"shape": "tube", "diameter": "10 mm", "wall": "1 mm"}, math.pi * 9),
        ({"shape": "box", "width": "20 mm", "thickness": "10 mm", "wall": "1 mm", "inner_radius": "0.5 mm"}, None),
        ({"shape": "angle", "width": "20 mm", "height": "30 mm", "thickness": "2 mm"}, 40 + 56),
        ({"shape": "channel", "width": "20 mm", "height": "30 mm", "thickness": "2 mm"}, 40 + 2 * 56),
    ],
)
def test_every_shape_is_read(shape: dict[str, str], area: float | None) -> None:
    data = tomllib.loads(TEXT)
    data["conductor"][1] = {"name": "wall", "material": "copper", "centre": ["-80 mm", "0 mm"], **shape}
    if area is None:
        area = 200 - 18 * 8 + (4 - math.pi) * 0.25
    assert checked_case(data).problem().conductors[3].part.area * 1e6 == pytest.approx(area, rel=1e-9)


def three_phases(*phases: str) -> Case:
    data = tomllib.loads(TEXT)
    data["circuit"] = [
        {"name": f"L{k}", "current": "250 A", "phase": phase, "out": [f"phase a.{k}"]}
        for k, phase in enumerate(phases, start=1)
    ]
    return checked_case(data)


def test_balanced_phases_give_no_warning() -> None:
    assert three_phases("0 deg", "-120 deg", "120 deg").warnings == ()


def test_currents_that_do_not_sum_to_zero_give_a_warning() -> None:
    (warning,) = three_phases("0 deg", "-120 deg", "0 deg").warnings
    # 250 A * |1 + 1 + exp(-2j pi / 3)| = 250 A * sqrt(3)
    assert warning == (
        'the currents do not sum to zero: 433.013 A of "L1", "L2", "L3" return outside the section; resistances '
        "hold, inductances are those of a return on a circle around it, of the radius given with them"
    )


def test_star_means_all_copies() -> None:
    data = tomllib.loads(TEXT)
    data["circuit"] = [{"name": "a", "current": "1 A", "out": ["phase a.*"], "back": ["wall"]}]
    assert checked_case(data).problem().circuits[0].out == ("phase a.1", "phase a.2", "phase a.3")


def test_own_material_may_replace_a_built_in_one() -> None:
    data = tomllib.loads(TEXT)
    data["material"]["steel"] = {"conductivity": "5 MS/m"}
    assert checked_case(data).problem().conductors[3].material.conductivity == 5e6


JUNK: list[Any] = [
    *(
        None,
        3,
        -1,
        0,
        1.5,
        math.nan,
        True,
        "",
        "x",
        "6 mm",
        "6 kHz",
        [],
        {},
        [1],
        {"a": 1},
        ["0 mm", "0 mm"],
        "bar",
        "tube",
    ),
    *("outline", "phase a", "phase a.*", [{}], {"shape": "bar"}, [[[]]], "drawing", {"name": 3}),
]
KEYS = ("wdith", "shape", "diameter", "points", "a point", "bar", "repeat", "out", "roughness", "from", "start", "")


def branches(data: Any, path: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    keys = data if isinstance(data, dict) else range(len(data)) if isinstance(data, list) else ()
    return [path, *(branch for key in keys for branch in branches(data[key], (*path, key)))]


def faults_of(data: dict[str, Any]) -> tuple[Fault, ...]:
    try:
        checked_case(data)
    except CaseError as error:
        return error.faults
    return ()


@pytest.mark.parametrize("table", ["circuit", "conductor"])
def test_a_strange_key_is_named_as_it_stands(table: str) -> None:
    data = tomllib.loads(TEXT)
    data[table][0]["a point"] = 1
    assert [fault.key for fault in faults_of(data)] == ["a point"]


@pytest.mark.parametrize("seed", range(5))
def test_junk_anywhere_is_a_case_error(seed: int) -> None:
    """Whatever stands wherever: a case or a CaseError with words in it, never anything else."""
    sound = tomllib.loads(TEXT)
    places = branches(sound)[1:]
    rng = random.Random(seed)
    for _ in range(20):
        data = copy.deepcopy(sound)
        *way, last = rng.choice(places)
        table = data
        for key in way:
            table = table[key]
        what = rng.random()
        if what < 0.2:
            del table[last]
        elif what < 0.4 and isinstance(table, dict):
            table[rng.choice(KEYS)] = copy.deepcopy(rng.choice(JUNK))
        else:
            table[last] = copy.deepcopy(rng.choice(JUNK))
        assert all(fault.expected and fault.found for fault in faults_of(data))
