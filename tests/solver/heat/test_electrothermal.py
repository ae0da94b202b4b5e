"""The loop of field and heat: how losses follow the resistivity, and the temperature they keep up."""

from dataclasses import replace

import numpy as np
import pytest
from fixed_film import solved

from crosscurrent.geometries.arrays import same
from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.shapes import bar, round_bar, tube
from crosscurrent.solver.field.problem import Circuit, Conductor, Problem
from crosscurrent.solver.field.solve import solve
from crosscurrent.solver.heat.ampacity import rating, state_of
from crosscurrent.solver.heat.cooling import FINISHES, STEFAN_BOLTZMANN, Cooling, Finish
from crosscurrent.solver.heat.electrothermal import (
    at_temperatures,
    balance_of,
    conduction_in,
    electrothermal,
    exponents,
    guessed_exponent,
    measured_exponent,
    solved_again,
)
from crosscurrent.solver.metals.materials import MATERIALS

COPPER = MATERIALS["copper"]


@pytest.fixture(scope="module")
def rod():
    return solved(round_bar(0.02), [COPPER], current=600.0)


def test_other_temperatures_change_nothing_else(rod):
    hot = at_temperatures(rod.problem, np.array([75.0]))
    assert hot.conductors[0].temperature == 75.0
    assert same(hot, replace(rod.problem, conductors=(replace(rod.problem.conductors[0], temperature=75.0),)))


def test_direct_current_heats_with_the_resistivity(rod):
    assert measured_exponent(rod) == pytest.approx([1.0], abs=1e-9)
    assert guessed_exponent(rod) == pytest.approx([1.0])


def test_a_thin_skin_heats_with_its_root():
    """R goes with 1 / (sigma depth), the root of the resistivity, and a little for the curvature."""
    thin = solved(round_bar(0.02), [COPPER], frequency=1e6)
    assert measured_exponent(thin) == pytest.approx([0.5], abs=0.01)
    assert guessed_exponent(thin) == pytest.approx([0.5])


def test_no_change_of_temperature_tells_nothing(rod):
    assert exponents(rod, rod, np.array([0.7])) == pytest.approx([0.7])


def test_the_same_mesh_is_the_same_conduction(rod):
    first = conduction_in(rod)
    assert conduction_in(rod, first) is first
    warmer = solved_again(rod, np.array([70.0]))
    assert float(warmer.fine.powers[0].real / rod.fine.powers[0].real) == pytest.approx(
        COPPER.conductivity_at(rod.problem.conductors[0].temperature) / COPPER.conductivity_at(70.0), rel=1e-7
    )


def test_losses_and_temperature_agree(rod):
    cooling = Cooling(25.0, FINISHES["painted"])
    found = electrothermal(rod.problem, 0.0, cooling, accuracy=1e-4)
    balance = balance_of(found, cooling, guessed_exponent(found))
    assert balance.mean[0] == pytest.approx(found.problem.conductors[0].temperature, abs=1e-3)
    area = np.pi * 0.01**2
    assert balance.lost[0] == pytest.approx(600.0**2 / (COPPER.conductivity_at(balance.mean[0]) * area), rel=1e-4)


def two_turns(shape, apart, radius=10.0, *, axial=True, others=(), current=300.0):
    """Two turns in series far from the axis, or the same in the plane."""
    pair = tuple(Conductor(Part(f"t{k}", shape.placed((radius, apart * k))), COPPER, 60.0) for k in range(2))
    way = Circuit("c", current, ("t0", "t1"), sharing="series")
    if not axial:
        way = Circuit("c", 2 * current, ("t0", "t1"), sharing="equal")
    return Problem((*pair, *others), (way,), axial=axial)


@pytest.mark.parametrize(
    ("shape", "apart"), [(tube(0.012, 0.001), 0.016), (bar(0.02, 0.004), 0.012)], ids=["tubes", "pancake"]
)
def test_far_from_the_axis_turns_get_as_warm_as_in_the_plane(shape, apart):
    """A ring of 20 m sees little of its other side (about its height over its diameter)."""
    air = Cooling(30.0, FINISHES["oxidised"])
    bent = electrothermal(two_turns(shape, apart), 0.0, air, accuracy=1e-4)
    straight = electrothermal(two_turns(shape, apart, axial=False), 0.0, air, accuracy=1e-4)
    rises = [state_of(solution, air).balance.mean - 30.0 for solution in (bent, straight)]
    assert rises[0] == pytest.approx(rises[1], rel=1e-4)
    ratings = [rating(solution, air, 90.0).factor for solution in (bent, straight)]
    assert ratings[0] == pytest.approx(ratings[1], rel=1e-4)


def test_heat_made_round_an_axis_is_heat_lost():
    air = Cooling(30.0)
    found = balance_of(solve(two_turns(tube(0.012, 0.001), 0.016, 0.05), 1e4), air, np.full(2, 0.5))
    assert found.lost.sum() == pytest.approx(found.power.sum(), rel=1e-10)
    assert found.losses.exchange.sum() == pytest.approx(0.0, abs=1e-10 * found.power.sum())


def test_a_hot_piece_is_held_and_warms_the_turns():
    """Of what a black ball of 500 degC radiates, s A T^4, close turns take the share that the room does not."""
    ball = Conductor(Part("ball", round_bar(0.03)), MATERIALS["brass"], 500.0)
    problem = two_turns(round_bar(0.006), 0.012, 0.025, others=(ball,), current=1.0)
    black = Cooling(20.0, Finish("black", *(3 * (1.0,))), scale=1e-3, held=frozenset({"ball"}))
    found = balance_of(solve(problem, 0.0), black, np.ones(3))
    assert found.mean[2] == found.surface[2] == 500.0
    radiated = STEFAN_BOLTZMANN * np.pi * 0.03**2 * (773.15**4 - 293.15**4)
    given = found.by_conductor(found.losses.radiation + found.losses.exchange)[2]
    assert given < radiated
    assert found.by_conductor(found.losses.exchange)[:2].sum() < 0
    assert (found.mean[:2] > 100).all()
    # all that the turns take they radiate, since they make nothing and the air takes nothing
    room = found.by_conductor(found.losses.radiation)
    assert given - room[2] == pytest.approx(room[:2].sum() - found.power[:2].sum(), rel=0.02)


def test_what_is_held_hot_widens_the_band_both_ways():
    ball = Conductor(Part("ball", round_bar(0.03)), MATERIALS["brass"], 500.0)
    problem = two_turns(round_bar(0.006), 0.012, 0.025, others=(ball,), current=50.0)
    air = Cooling(20.0, FINISHES["oxidised"], held=frozenset({"ball"}))
    found = state_of(electrothermal(problem, 0.0, air), air)
    assert found.bounded
    assert (found.coldest < found.balance.hottest[0])[:2].all()
    assert (found.hottest > found.balance.hottest[0])[:2].all()
    assert found.coldest[2] == found.hottest[2] == 500.0


def test_what_hot_pieces_alone_bring_to_the_limit_has_no_current():
    ball = Conductor(Part("ball", round_bar(0.03)), MATERIALS["brass"], 500.0)
    problem = two_turns(round_bar(0.006), 0.012, 0.025, others=(ball,), current=50.0)
    air = Cooling(20.0, FINISHES["painted"], held=frozenset({"ball"}))
    assert rating(solve(problem, 0.0), air, 50.0).factor == 0.0
