"""A work piece heated by fields solved at several of its temperatures."""

from __future__ import annotations

import numpy as np
import pytest

from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.shapes import bar, round_bar
from crosscurrent.solver.field.problem import Circuit, Conductor, Problem
from crosscurrent.solver.field.solve import solve
from crosscurrent.solver.heat.heated_in_coil import (
    at_temperature,
    field_temperatures,
    fields_at,
    heated_in_coil,
    warmed_metal,
)
from crosscurrent.solver.heat.open_surface import Surroundings
from crosscurrent.solver.metals.magnetisation import Magnetisation
from crosscurrent.solver.metals.materials import MATERIALS, Material

ALLOY = Material("alloy", 20e6, 0.004, density=2700.0, heat_capacity=900.0, thermal_conductivity=200.0)
CLOSED = Surroundings(20.0, 1e-9, 0.0)  # gives nothing away


def billet(metal: Material = ALLOY) -> Problem:
    rod = Conductor(Part("billet", bar(0.04, 0.04)), metal)
    turn = Conductor(Part("turn", round_bar(0.006).placed((0.03, 0.0))), MATERIALS["copper"])
    return Problem((rod, turn), (Circuit("coil", 1000.0, ("turn",)),), axial=True)


def test_metals_above_their_curie_temperature() -> None:
    steel, own = MATERIALS["steel"], Material("own", 5e6, magnetisation=Magnetisation.froelich(500.0, 2.0))
    assert warmed_metal(steel, 800.0).permeability == 1.0
    assert warmed_metal(own, 800.0).magnetisation is None
    assert warmed_metal(own, 700.0) is own
    assert at_temperature(billet(steel), 0, 900.0).conductors[0].material.permeability == 1.0


def test_temperatures_of_the_fields_stand_on_both_sides_of_curie() -> None:
    steel = billet(MATERIALS["steel"]).conductors[0]
    assert field_temperatures(steel, 20.0, 700.0, 2) == (20.0, 700.0)
    assert field_temperatures(steel, 20.0, 1200.0, 2) == (20.0, 755.0, 785.0, 1200.0)
    assert field_temperatures(billet().conductors[0], 20.0, 420.0, 3) == (20.0, 220.0, 420.0)


def test_the_loss_follows_the_temperature() -> None:
    """Nothing is given away: heat kept is heat made, and the power in between is that of the fields."""
    solution = solve(billet(), 2e3)
    fields = fields_at(solution, 0, (20.0, 320.0))
    cold, hot = (float(s.fine.powers.real[0]) for _, s in fields)
    assert hot != pytest.approx(cold, rel=0.05)
    found = heated_in_coil(fields, 0, CLOSED, start=20.0, duration=60.0)
    rise = found.fine.mean(np.array([60.0]))[0] - 20.0
    mass = 2700.0 * np.pi * 0.02**2 * 0.04
    assert found.fine.kept == pytest.approx(mass * 900.0 * rise, rel=1e-9)
    assert found.fine.imbalance < 1e-9
    assert min(cold, hot) < found.fine.made / 60.0 < max(cold, hot)
    assert found.less is found.more is found.coarse  # a stated film has no scatter
    assert found.power_error < 1e-2


def test_a_power_that_is_held() -> None:
    solution = solve(billet(), 2e3)
    found = heated_in_coil(((20.0, solution),), 0, CLOSED, start=20.0, duration=10.0, power=500.0)
    assert found.fine.made == pytest.approx(5000.0, rel=1e-12)
    assert found.scale[0] == pytest.approx(500.0 / float(solution.fine.powers.real[0]))
