"""Pieces on the axis in the field of turns against spherical harmonics, Bessel functions and Bessel integrals.

W. R. Smythe, Static and Dynamic Electricity; C. V. Dodd and W. E. Deeds, J. Appl. Phys. 39, 2829-2838, 1968 (both from
memory). The filaments of the references stand here as wires so poor that current flows in them as at rest. In those of
Dodd and Deeds and of the forces the reference's own turn is a wire of 1 mm.
"""

from __future__ import annotations

import pytest
from axial_rows import (
    axial_rows,
    balance,
    fed,
    filament,
    frequency_for,
    on_axis,
    solid,
    uniform_field,
    unknowns,
)

from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.shapes import round_bar
from crosscurrent.solver.field.problem import Conductor, Problem
from crosscurrent.solver.field.solve import solve
from crosscurrent.solver.metals.materials import Material

BALL = 0.025
MATERIALS = {1: Material("copper", 58e6), 100: Material("steel", 5e6, permeability=100.0)}


def ball_in_a_turn(permeability: int, frequency: float, height: float, wire: float) -> Problem:
    ball = Conductor(Part("ball", round_bar(2 * BALL)), MATERIALS[permeability])
    return fed(filament("turn", 0.035, height, wire, frequency), ball)


@pytest.mark.parametrize(("row", "ratio", "near"), [("037", 1.0, 1e-6), ("039", 100.0, 1e-6)])
def test_a_ball_in_a_uniform_field(row: str, ratio: float, near: float) -> None:
    """Dipole moment by spherical Bessel functions; four turns at the nodes of a Gauss quadrature make the field."""
    frequency = frequency_for(BALL / ratio)
    found = solve(uniform_field(frequency, 0.25, solid("ball", round_bar(2 * BALL))), frequency, accuracy=1e-6)
    assert axial_rows()[row].off(found.fine.powers[-1].real) < near
    assert axial_rows()[row].off(found.fine.powers[-1].real) <= found.loss_errors[-1] + 1e-8
    assert balance(found) < 1e-10
    assert unknowns(found) < 2 * 1600 + 4 * 5000  # the turns that make the field are solved for too


@pytest.mark.parametrize(
    ("row", "permeability", "frequency", "near"),
    [("042", 1, 50.0, 1e-6), ("043", 1, 1e5, 1e-6), ("044", 100, 50.0, 1e-4), ("045", 100, 1e5, 1e-4)],
)
def test_loss_of_a_ball_in_a_turn(row: str, permeability: int, frequency: float, near: float) -> None:
    found = solve(ball_in_a_turn(permeability, frequency, 0.005, 2e-4), frequency, accuracy=1e-6)
    off = axial_rows()[row].off(found.fine.powers[1].real)
    assert off < near
    assert off <= found.loss_errors[1]
    assert balance(found) < 1e-10
    assert unknowns(found) < 2 * 4200


@pytest.mark.parametrize(("row", "permeability"), [("046", 1), ("047", 100)])
def test_force_on_a_turn_beside_a_ball(row: str, permeability: int) -> None:
    """Half the slope of L by spherical harmonics."""
    found = solve(ball_in_a_turn(permeability, 1e3, 0.01, 5e-4), 1e3, accuracy=1e-6)
    assert axial_rows()[row].off(found.fine.force[0, 1]) < 1e-5
    assert found.fine.force[1, 1] == pytest.approx(-found.fine.force[0, 1], rel=1e-4)


@pytest.mark.parametrize(("row", "frequency"), [("048", 50.0), ("049", 1e4)])
def test_a_turn_round_a_long_rod(row: str, frequency: float) -> None:
    found = solve(fed(filament("turn", 0.03, 0.0, 5e-4, frequency), solid("rod", on_axis(0.02, 0.8))), frequency,
                  accuracy=1e-5)  # fmt: skip
    assert axial_rows()[row].off(found.fine.powers[1].real) < 1e-5
    assert unknowns(found) < 2 * 15000


@pytest.mark.parametrize(("row", "frequency"), [("051", 1e3), ("052", 1e5)])
def test_a_turn_over_a_half_space(row: str, frequency: float) -> None:
    plate = solid("plate", on_axis(1.2, 0.1, -0.05))
    found = solve(fed(filament("turn", 0.03, 0.005, 5e-4, frequency), plate), frequency, accuracy=1e-5)
    assert axial_rows()[row].off(found.fine.powers[1].real) < 1e-5
    assert unknowns(found) < 2 * 15000
