"""Bundles whose strands are solved for one by one, against the rows of references/bundle_values.csv."""

from __future__ import annotations

import csv
import math
import os
import re
from pathlib import Path

import pytest

from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.shapes import bar, round_bar
from crosscurrent.solver.field.problem import Bound, Circuit, Conductor, Problem
from crosscurrent.solver.field.solve import solve
from crosscurrent.solver.metals.materials import Material
from crosscurrent.solver.metals.strands import Lay

COPPER, MM = Material("copper", 58e6), 1e-3
LAYS: dict[str, Lay] = {"equal": "transposed", "free": "straight", "rings": "concentric"}
ROWS = [
    row
    for row in csv.DictReader((Path(__file__).parents[2] / "references" / "bundle_values.csv").open(encoding="utf-8"))
    if row["layout"] == "rings" or (int(row["strands"]) <= 37 and row["layout"] == "hexagonal")
]
FEW = ("bundle-002", "bundle-012", "bundle-032", "bundle-052", "bundle-061")
TAKEN = ROWS if os.environ.get("CROSSCURRENT_EXAMPLES") else [row for row in ROWS if row["id"] in FEW]


def _places(layout: str, count: int) -> list[tuple[complex, int]]:
    """Middles in pitches, with the number of the ring: as the rows say."""
    found = [(0j, 0)]
    for ring in range(1, 7):
        if layout == "rings":
            steps = [(k + 0.37 * ring) * 2 * math.pi / (6 * ring) for k in range(6 * ring)]
            found += [(ring * complex(math.cos(a), math.sin(a)), ring) for a in steps]
        else:
            turn = [complex(math.cos(k * math.pi / 3), math.sin(k * math.pi / 3)) for k in range(7)]
            found += [(ring * turn[k] + j * (turn[k + 1] - turn[k]), ring) for k in range(6) for j in range(ring)]
    return found[:count]


def _bundle(row: dict[str, str], name: str, middle: complex) -> tuple[list[Conductor], Bound]:
    size, pitch = float(row["strand_diameter_mm"]) * MM, float(row["insulated_diameter_mm"]) * MM
    places = _places(row["layout"], int(row["strands"]))
    found = []
    for k, (place, _) in enumerate(places):
        where = middle + pitch * place
        found.append(Conductor(Part(f"{name}.{k + 1}", round_bar(size).placed((where.real, where.imag))), COPPER))
    members = tuple(c.name for c in found)
    return found, Bound(name, members, LAYS[row["sharing"]], tuple(ring for _, ring in places))


def _problem(row: dict[str, str]) -> Problem:
    strands, bound = _bundle(row, "lead", 0j)
    beside = row["environment"]
    numbers = [float(word) * MM for word in re.findall(r"-?\d+\.?\d*", beside)]
    bundles, back = [bound], ()
    if "bundle" in beside:
        more, other = _bundle(row, "other", complex(*numbers[:2]))
        strands, bundles, back = strands + more, [bound, other], other.members
    elif beside != "alone":
        shape = bar(numbers[2], numbers[3]) if "bar" in beside else round_bar(numbers[2])
        strands.append(Conductor(Part("other", shape.placed(numbers[:2])), COPPER))
        back = ("other",) if "return" in beside else ()
    return Problem(tuple(strands), (Circuit("feed", 1.0, bound.members, back),), bundles=tuple(bundles))


@pytest.mark.parametrize("row", TAKEN, ids=[row["id"] for row in TAKEN])
def test_resistance_and_inductance(row: dict[str, str]) -> None:
    problem = _problem(row)
    circuit = problem.circuits[0]
    found = solve(problem, float(row["frequency_hz"]), accuracy=1e-4)
    resistance = found.fine.circuit(circuit).real
    expected = float(row["resistance_ohm_per_m"])
    assert abs(resistance / expected - 1) < 5e-6 + found.circuit_errors(circuit)[0]
    assert found.fine.powers.real.sum() == pytest.approx(resistance, rel=1e-9)
    if circuit.back:
        inductance = float(row["inductance_nh_per_m_or_loop"]) * 1e-9
        assert found.fine.inductance(circuit) == pytest.approx(inductance, rel=1e-6)
