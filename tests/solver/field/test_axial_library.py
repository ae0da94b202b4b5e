"""A coil round a billet inside a ferrite sleeve against the general library's own axisymmetric forms.

`references/axial_library.csv` was made by `benchmarks/axial_library.py --reference`: another unknown (A / r), other
meshes, another code.
"""

from __future__ import annotations

import csv
import re

import pytest
from axial_rows import TABLE, balance, impedance, inductance, on_axis, rectangle, turn, unknowns

from crosscurrent.geometries.plane.part import Part
from crosscurrent.solver.field.problem import Circuit, Conductor, Problem
from crosscurrent.solver.field.solve import solve
from crosscurrent.solver.metals.materials import Material

NEAR = 1e-4
BILLETS = {"25 MS/m": Material("aluminium", 25e6), "5 MS/m, mu_r 100": Material("steel", 5e6, permeability=100.0)}
FERRITE = Material("ferrite", 0.0, permeability=2000.0, permeability_loss=40.0)


def library_values() -> dict[tuple[str, float], dict[str, float]]:
    """By the billet's metal and the frequency: value by quantity."""
    found: dict[tuple[str, float], dict[str, float]] = {}
    with TABLE.with_name("axial_library.csv").open(newline="") as file:
        for line in csv.DictReader(file):
            metal = re.search(r"160 mm of (.*?); around", line["conditions"])
            frequency = re.search(r"([\d.]+) Hz", line["conditions"])
            assert metal is not None
            assert frequency is not None
            found.setdefault((metal[1], float(frequency[1])), {})[line["quantity"]] = float(line["value"])
    return found


def coil_in_a_sleeve(metal: Material) -> Problem:
    turns = tuple(turn(f"turn {k}", 0.045, (k - 2.5) * 0.012, 0.004) for k in range(6))
    billet = Conductor(Part("billet", on_axis(0.03, 0.16)), metal)
    sleeve = Conductor(Part("sleeve", rectangle(0.056, 0.064, 0.14)), FERRITE)
    coil = Circuit("coil", 1.0, tuple(one.name for one in turns), sharing="series")
    return Problem((*turns, billet, sleeve), (coil,), axial=True)


@pytest.mark.parametrize("key", list(library_values()), ids=str)
def test_coil_billet_and_ferrite(key: tuple[str, float]) -> None:
    values = library_values()[key]
    found = solve(coil_in_a_sleeve(BILLETS[key[0]]), key[1], accuracy=NEAR)
    errors = *found.circuit_errors(found.problem.circuits[0]), *found.loss_errors[-2:]
    answers = impedance(found).real, inductance(found), *found.fine.powers[-2:].real
    names = "R", "L", "loss of the billet", "loss of the sleeve"
    for name, answer, error in zip(names, answers, errors, strict=True):
        off = abs(answer / values[name] - 1)
        assert off < NEAR, name
        assert off <= error + 1e-6, name
    assert balance(found) < 1e-10
    assert unknowns(found) < 30_000
