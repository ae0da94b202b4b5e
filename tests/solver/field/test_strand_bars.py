"""Bars of bundles hold against packings that were solved for strand by strand, by multipoles, outside of this project.

The rows are those of references/bundle_values.csv.
"""

from __future__ import annotations

import csv
import math
import os
import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.shapes import Shape, bar, outline, round_bar
from crosscurrent.solver.field.problem import Circuit, Conductor, Problem
from crosscurrent.solver.field.solve import solve
from crosscurrent.solver.metals.depth import MU0
from crosscurrent.solver.metals.materials import Material
from crosscurrent.solver.metals.strand_layout import Layout, cell_area, reach, strand_places
from crosscurrent.solver.metals.strand_packing import packings
from crosscurrent.solver.metals.strands import Lay, Strands
from tests.multipoles import impedance, joined

ROWS = list(csv.DictReader((Path(__file__).parents[2] / "references" / "bundle_values.csv").open(encoding="utf-8")))
COPPER, MM = Material("copper", 58e6), 1e-3
LAYS: dict[str, Lay] = {"equal": "transposed", "free": "straight", "rings": "concentric"}
HOMOGENISED = [r for r in ROWS if r["layout"] in ("hexagonal", "square") and r["sharing"] == "equal"]
TAKEN = HOMOGENISED if os.environ.get("CROSSCURRENT_EXAMPLES") else HOMOGENISED[::2]


def _outline(row: dict[str, str]) -> tuple[Shape, Layout]:
    """The hexagon or square that as many cells fill."""
    count, pitch = int(row["strands"]), float(row["insulated_diameter_mm"]) * MM
    if row["layout"] == "square":
        return bar(math.sqrt(count) * pitch, math.sqrt(count) * pitch), "square"
    side = pitch * math.sqrt(count / 3)
    corners = [(side * math.cos(k * math.pi / 3), side * math.sin(k * math.pi / 3)) for k in range(6)]
    return outline(corners), "hexagonal"


def _problem(row: dict[str, str]) -> Problem:
    shape, layout = _outline(row)
    strands = Strands(int(row["strands"]), float(row["strand_diameter_mm"]) * MM, layout, LAYS[row["sharing"]])
    beside = row["environment"]
    numbers = [float(word) * MM for word in re.findall(r"-?\d+\.?\d*", beside)]
    found, back = [Conductor(Part("lead", shape), COPPER, strands=strands)], ()
    if "bundle" in beside:
        found.append(Conductor(Part("other", shape.placed(numbers[:2])), COPPER, strands=strands))
    elif beside != "alone":
        other = bar(numbers[2], numbers[3]) if "bar" in beside else round_bar(numbers[2])
        found.append(Conductor(Part("other", other.placed(numbers[:2])), COPPER))
    if "return" in beside:
        back = ("other",)
    return Problem(tuple(found), (Circuit("feed", 1.0, ("lead",), back),))


@pytest.mark.parametrize("row", TAKEN, ids=[row["id"] for row in TAKEN])
def test_resistance_within_its_bar_and_as_near_as_wanted(row: dict[str, str]) -> None:
    problem = _problem(row)
    found = solve(problem, float(row["frequency_hz"]), accuracy=2e-4)
    circuit, expected = problem.circuits[0], float(row["resistance_ohm_per_m"])
    error = (found.fine.circuit(circuit) / circuit.current).real / expected - 1
    assert abs(error) < found.circuit_errors(circuit)[0]
    thin = float(row["a_over_delta"]) <= 0.8
    wanted = (5e-4 if int(row["strands"]) >= 91 else 2.5e-3) if thin else 1e-2
    if int(row["strands"]) > 7:  # seven are one medium where they are cooled only, else in `test_strand_by_strand`
        assert abs(error) < wanted


def _in_circles(problem: Problem, row: dict[str, str]) -> Problem:
    """With the circles that a case file draws in place of hexagons, and the edge of their strands."""
    pitch, layout = float(row["insulated_diameter_mm"]) * MM, _outline(row)[1]
    round_ones = []
    for conductor in problem.conductors:
        if conductor.strands is not None:
            circle = round_bar(math.sqrt(4 / math.pi * conductor.strands.count * cell_area(pitch, layout)))
            middle = conductor.part.bounds.mean(axis=0)
            part = Part(conductor.name, circle.placed((float(middle[0]), float(middle[1]))))
            conductor = replace(conductor, part=part, strands=replace(conductor.strands, gathered=True))
        round_ones.append(conductor)
    return replace(problem, conductors=tuple(round_ones))


@pytest.mark.parametrize("row", TAKEN, ids=[row["id"] for row in TAKEN])
def test_resistance_in_the_round_outline_of_a_case_file(row: dict[str, str]) -> None:
    """Alone nothing of the outline is left; what others induce still sees the circle. Seven strands too."""
    problem = _in_circles(_problem(row), row)
    found = solve(problem, float(row["frequency_hz"]), accuracy=2e-4)
    error = found.fine.circuit(problem.circuits[0]).real / float(row["resistance_ohm_per_m"]) - 1
    alone = row["environment"] == "alone"
    assert abs(error) < ((2e-4 if float(row["a_over_delta"]) <= 0.8 else 1e-3) if alone else 1e-3)


@pytest.mark.parametrize("row", [r for r in HOMOGENISED if "return" in r["environment"]], ids=lambda r: str(r["id"]))
def test_inductance_of_a_loop_within_its_bar(row: dict[str, str]) -> None:
    problem = _problem(row)
    found = solve(problem, float(row["frequency_hz"]))
    circuit, expected = problem.circuits[0], float(row["inductance_nh_per_m_or_loop"]) * 1e-9
    error = found.fine.inductance(circuit) / expected - 1
    assert abs(error) < found.circuit_errors(circuit)[1]


GROUPED = [row for row in ROWS if row["layout"] == "5 x 7" and row["sharing"] == "equal"]


@pytest.mark.parametrize("row", GROUPED, ids=[row["id"] for row in GROUPED])
def test_groups_of_strands_within_their_bar(row: dict[str, str]) -> None:
    """Five groups of seven side by side on a ring: a medium of groups of a medium of strands."""
    pitch = float(row["insulated_diameter_mm"]) * MM
    outer = 1.5 * pitch * (1 + 1 / math.sin(math.pi / 5))
    space = math.pi * (1.5 * pitch) ** 2 / 7
    strands = Strands(35, float(row["strand_diameter_mm"]) * MM, levels=(5, 7), space=space)
    lead = Conductor(Part("lead", round_bar(2 * outer)), COPPER, strands=strands)
    circuit = Circuit("feed", 1.0, ("lead",))
    found = solve(Problem((lead,), (circuit,)), float(row["frequency_hz"]))
    error = found.fine.circuit(circuit).real / float(row["resistance_ohm_per_m"]) - 1
    assert abs(error) < found.circuit_errors(circuit)[0]


@pytest.mark.parametrize("depths", [0.22, 0.44, 0.8])
@pytest.mark.parametrize("shells", [4, 6, 8])
def test_many_straight_strands_within_their_bar(shells: int, depths: float) -> None:
    """Full hexagons of 61, 127 and 217, each strand with its own current: multipoles of all of them."""
    size, pitch, count = 0.1 * MM, 0.12 * MM, 1 + 3 * shells * (shells + 1)
    frequency = (2 * depths / size) ** 2 / (math.pi * MU0 * 58e6)
    places = pitch * strand_places(count, "hexagonal") @ [1, 1j]
    exact = joined(impedance(places, [[k] for k in range(count)], size, 58e6, frequency)).real
    row = {
        "strands": str(count), "strand_diameter_mm": "0.1", "insulated_diameter_mm": "0.12", "layout": "hexagonal",
        "sharing": "free", "environment": "alone",
    }  # fmt: skip
    problem = _problem(row)
    found, circuit = solve(problem, frequency), problem.circuits[0]
    error = found.fine.circuit(circuit).real / exact - 1
    assert abs(error) < found.circuit_errors(circuit)[0]
    assert abs(error) < 0.01


@pytest.mark.parametrize("depths", [0.4, 0.8, 1.4])
@pytest.mark.parametrize(
    ("layout", "count", "near"),
    [
        ("hexagonal", 55, 5e-4), ("hexagonal", 121, 3e-4), ("hexagonal", 127, 3e-4), ("hexagonal", 253, 3e-4),
        ("square", 121, 3e-4), ("rings", 169, 5e-4),
    ],
)
def test_transposed_strands_in_a_round_outline(layout: Layout, count: int, near: float, depths: float) -> None:
    """What a case file draws: the circle of the area of their cells, with the edge that the strands make."""
    size, pitch = 0.1 * MM, 0.12 * MM
    frequency = (2 * depths / size) ** 2 / (math.pi * MU0 * 58e6)
    places = pitch * strand_places(count, layout) @ [1, 1j]
    exact = impedance(places, [list(range(count))], size, 58e6, frequency)[0, 0].real
    outer = math.sqrt(4 / math.pi * count * cell_area(pitch, layout))
    if layout == "rings":
        outer = pitch * (1 + 2 * reach(count, layout))
    lead = Conductor(Part("lead", round_bar(outer)), COPPER, strands=Strands(count, size, layout, gathered=True))
    circuit = Circuit("feed", 1.0, ("lead",))
    found = solve(Problem((lead,), (circuit,)), frequency, accuracy=2e-4)
    error = found.fine.circuit(circuit).real / exact - 1
    assert abs(error) < found.circuit_errors(circuit)[0]
    assert abs(error) < (near if depths < 1 else 1e-2)


@pytest.mark.parametrize("lay", ["transposed", "straight"])
@pytest.mark.parametrize("count", [28, 38, 61, 91])
def test_strands_crowded_into_a_circle(count: int, lay: Lay) -> None:
    """The densest packings known, in the circle that they touch, R and L against multipoles of all strands."""
    size, pitch = 0.1 * MM, 0.11 * MM
    frequency = (1.6 / size) ** 2 / (math.pi * MU0 * 58e6)
    outer, places = packings()[count - 1]
    groups = [list(range(count))] if lay == "transposed" else [[k] for k in range(count)]
    exact = joined(impedance(pitch * places @ [1, 1j], groups, size, 58e6, frequency))
    strands = Strands(count, size, lay=lay, crowded=True)
    circuit = Circuit("feed", 1.0, ("lead",))
    problem = Problem((Conductor(Part("lead", round_bar(outer * pitch)), COPPER, strands=strands),), (circuit,))
    found = solve(problem, frequency)
    error, off = (bar * value for bar, value in zip(found.circuit_errors(circuit)[:2], (exact.real, 1.0), strict=True))
    assert abs(found.fine.circuit(circuit).real - exact.real) < error
    returned = math.e * found.fine.discretisation.mesh.radius
    inductance = exact.imag / (2 * math.pi * frequency) + MU0 / (2 * math.pi) * math.log(returned)
    assert abs(found.fine.inductance(circuit) - inductance) < off * inductance


ROUND: list[tuple[Layout, int]] = [
    ("hexagonal", 55), ("hexagonal", 70), ("hexagonal", 73), ("square", 80), ("rings", 40), ("rings", 127)
]  # fmt: skip


@pytest.mark.parametrize(("layout", "count"), ROUND)
@pytest.mark.parametrize("depths", [0.44, 0.8])
def test_round_bundles_of_straight_strands(layout: Layout, count: int, depths: float) -> None:
    """In the circle of the same area, with the network of their places: multipoles of all strands."""
    size, pitch = 0.1 * MM, 0.12 * MM
    frequency = (2 * depths / size) ** 2 / (math.pi * MU0 * 58e6)
    places = pitch * strand_places(count, layout) @ [1, 1j]
    exact = joined(impedance(places, [[k] for k in range(count)], size, 58e6, frequency)).real
    problem = Problem((_straight(layout, count, size, pitch),), (Circuit("feed", 1.0, ("lead",)),))
    found, circuit = solve(problem, frequency), problem.circuits[0]
    error = found.fine.circuit(circuit).real / exact - 1
    assert abs(error) < found.circuit_errors(circuit)[0]
    assert abs(error) < 5e-4
    assert found.fine.powers.real.sum() == pytest.approx(found.fine.circuit(circuit).real, rel=1e-9)


def _straight(layout: Layout, count: int, size: float, pitch: float, away: float = 0.0) -> Conductor:
    outer = math.sqrt(4 / math.pi * count * cell_area(pitch, layout))
    if layout == "rings":
        outer = pitch * (1 + 2 * reach(count, layout))
    part = Part("other" if away else "lead", round_bar(outer).placed((away, 0.0)))
    return Conductor(part, COPPER, strands=Strands(count, size, layout, "straight", gathered=True))


PAIRS: list[tuple[Layout, int, float]] = [("hexagonal", 73, 1.0), ("square", 70, 1.1), ("hexagonal", 41, 2.0)]


@pytest.mark.parametrize("turn", [1, 1j])
@pytest.mark.parametrize(("layout", "count", "gap"), PAIRS)
@pytest.mark.parametrize("depths", [0.44, 0.8])
def test_straight_strands_that_stand_out_towards_another(
    layout: Layout, count: int, gap: float, turn: complex, depths: float
) -> None:
    """Go and return, from a touch to a diameter apart: how lattices lie to each other is unknown, and in the bar."""
    size, pitch = 0.1 * MM, 0.12 * MM
    frequency = (2 * depths / size) ** 2 / (math.pi * MU0 * 58e6)
    away = gap * pitch * (2 * reach(count, layout) + 1)
    lead = pitch * strand_places(count, layout) @ [1, 1j] * turn
    matrix = impedance(np.concatenate((lead, lead + away)), [[k] for k in range(2 * count)], size, 58e6, frequency)
    members = np.kron(np.eye(2), np.ones((count, 1)))
    pair = np.linalg.inv(members.T @ np.linalg.solve(matrix, members))
    exact = (pair[0, 0] + pair[1, 1] - 2 * pair[0, 1]).real
    leads = tuple(_straight(layout, count, size, pitch, x) for x in (0.0, away))
    circuit = Circuit("feed", 1.0, ("lead",), ("other",))
    found = solve(Problem(leads, (circuit,)), frequency)
    error = found.fine.circuit(circuit).real / exact - 1
    assert abs(error) < 0.7 * found.circuit_errors(circuit)[0]
    assert abs(error) < (0.02 if gap == 2 else 0.2)


@pytest.mark.parametrize("depths", [0.22, 0.44, 0.8])
@pytest.mark.parametrize("back", [True, False])
def test_straight_strands_beside_others(back: bool, depths: float) -> None:
    """Two hexagons of 61 side by side, go and return or one of them idle: multipoles of all 122."""
    size, pitch, count = 0.1 * MM, 0.12 * MM, 61
    frequency = (2 * depths / size) ** 2 / (math.pi * MU0 * 58e6)
    away = 2.1 * pitch * math.sqrt(count / 3)
    lead = pitch * strand_places(count, "hexagonal") @ [1, 1j]
    matrix = impedance(np.concatenate((lead, lead + away)), [[k] for k in range(2 * count)], size, 58e6, frequency)
    members = np.kron(np.eye(2), np.ones((count, 1)))
    pair = np.linalg.inv(members.T @ np.linalg.solve(matrix, members))
    exact = pair[0, 0] if not back else pair[0, 0] + pair[1, 1] - 2 * pair[0, 1]
    row = {
        "strands": str(count), "strand_diameter_mm": "0.1", "insulated_diameter_mm": "0.12", "layout": "hexagonal",
        "sharing": "free", "environment": f"{'return' if back else 'idle'} bundle centre ({away / MM}, 0) mm",
    }  # fmt: skip
    problem = _problem(row)
    found, circuit = solve(problem, frequency), problem.circuits[0]
    error = found.fine.circuit(circuit).real / exact.real - 1
    assert abs(error) < found.circuit_errors(circuit)[0]
    assert abs(error) < 0.02
    assert found.fine.powers.real.min() > 0
    if back:
        assert found.fine.inductance(circuit) == pytest.approx(exact.imag / (2 * math.pi * frequency), rel=0.01)


def test_rings_beside_straight_strands() -> None:
    """Far apart each has the resistance that it has alone: they add up."""
    size, each = 0.1 * MM, {}
    for lay in ("concentric", "straight"):
        strands = Strands(61, size, lay=lay)
        part = Part(lay, round_bar(1.1 * MM).placed((0.0 if lay == "straight" else 60 * MM, 0.0)))
        each[lay] = Conductor(part, COPPER, strands=strands)
    alone = [
        solve(Problem((c,), (Circuit("feed", 1.0, (c.name,)),)), 300e3, accuracy=1e-4).fine.powers.real.sum()
        for c in each.values()
    ]
    loop = Problem(tuple(each.values()), (Circuit("feed", 1.0, ("concentric",), ("straight",)),))
    assert solve(loop, 300e3, accuracy=1e-4).fine.powers.real.sum() == pytest.approx(sum(alone), rel=1e-3)
