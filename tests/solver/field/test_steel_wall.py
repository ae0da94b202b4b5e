"""Heat in a steel wall beside a pair of conductors, against a general finite-element library."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.shapes import bar, round_bar
from crosscurrent.solver.field.problem import Circuit, Conductor, Problem
from crosscurrent.solver.field.solve import solve
from crosscurrent.solver.metals.materials import Material

TABLE = Path(__file__).parents[2] / "references" / "general_library.csv"


def test_loss_of_a_steel_wall() -> None:
    with TABLE.open(encoding="utf-8", newline="") as file:
        (row,) = [row for row in csv.DictReader(file) if row["quantity"] == "loss of a steel wall"]
    copper, steel = Material("copper", 58e6), Material("steel", 6.993e6, permeability=200.0)
    rods = [Conductor(Part(n, round_bar(0.01).placed((x, 0.03))), copper) for n, x in (("go", -0.03), ("return", 0.03))]
    wall = Conductor(Part("wall", bar(0.2, 0.003).placed((0, -0.0015))), steel)
    pair = Problem((*rods, wall), (Circuit("feed", 1000.0, ("go",), ("return",)),))
    found = solve(pair, 50.0)
    assert float(found.fine.powers[2].real) == pytest.approx(float(row["value"]), rel=1e-3)
