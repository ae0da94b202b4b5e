"""Whole conductors in still air against handbook relations, and what the balance must do whatever the numbers."""

import csv
import math
import re

import numpy as np
import pytest
from reference_rows import TABLE

from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.shapes import bar, round_bar, tube
from crosscurrent.solver.field.problem import Circuit, Conductor, Problem
from crosscurrent.solver.field.solve import solve
from crosscurrent.solver.heat.ampacity import factor_for, rating, state_of
from crosscurrent.solver.heat.balance import CEILING, NoStableTemperature
from crosscurrent.solver.heat.convection import AirStream
from crosscurrent.solver.heat.cooling import FINISHES, Cooling, Exchange
from crosscurrent.solver.heat.electrothermal import conduction_in, electrothermal, sources_in
from crosscurrent.solver.metals.materials import MATERIALS, Material

COPPER = MATERIALS["copper"]


def in_air(shapes, cooling, *, current=500.0, frequency=0.0, metal=COPPER, temperature=80.0):
    conductors = tuple(Conductor(Part(name, shape), metal, temperature) for name, shape in shapes.items())
    names = tuple(shapes)
    circuits = tuple(Circuit(name, current, (name,)) for name in names)
    return electrothermal(Problem(conductors, circuits), frequency, cooling)


def current_for_50_kelvin(shape, finish):
    """Direct, in air of 40 degC."""
    conductor = Conductor(Part("it", shape), COPPER, 90.0)
    solution = solve(Problem((conductor,), (Circuit("it", 500.0, ("it",)),)), 0.0)
    conduction = conduction_in(solution)
    exchange = Exchange(conduction.panels, (conductor.part,), Cooling(40.0, FINISHES[finish]))
    return 500.0 * factor_for(conduction, exchange, sources_in(solution, conduction, np.ones(1)), 90.0)[0]


def handbook():
    """Flat bars, 50 K above 40 degC: 7.73 A^0.5 p^0.39 (Copper Development Association, Publication 22), rows of the
    references, good to 12 %."""
    with TABLE.open(encoding="utf-8") as file:
        rows = [row for row in csv.DictReader(file) if "Cu flat bar" in row["conditions"]]
    return [(row["conditions"].split()[3], float(row["value"])) for row in rows]


@pytest.mark.parametrize(("size", "ampere"), handbook())
def test_flat_bars_on_edge(size, ampere):
    height, thickness = (1e-3 * float(x) for x in size.split("x"))
    shape = bar(thickness, height)
    assert current_for_50_kelvin(shape, "dull") == pytest.approx(ampere, rel=0.12)
    if size in ("100x10", "50x5"):
        assert current_for_50_kelvin(shape, "bright") < ampere < current_for_50_kelvin(shape, "dull")


def test_bar_by_first_principles():
    """100 x 10 mm, emissivity 0.1: 1886 A by Churchill and Chu's plate and radiation, by hand in the references."""
    assert current_for_50_kelvin(bar(0.01, 0.1), "bright") == pytest.approx(1886.0, rel=0.01)


@pytest.mark.parametrize("diameter", [0.010, 0.020, 0.030])
def test_rods(diameter):
    """13.6 A^0.68 with A in mm2 (Copper Development Association, Publication 22), good to 12 %."""
    area = math.pi * (1e3 * diameter) ** 2 / 4
    assert current_for_50_kelvin(round_bar(diameter), "dull") == pytest.approx(13.6 * area**0.68, rel=0.12)


@pytest.mark.parametrize(("diameter", "wall"), [(0.030, 0.003), (0.050, 0.005), (0.080, 0.005)])
def test_tubes(diameter, wall):
    """8.63 A^0.5 p^0.36 in mm2 and mm (Copper Development Association, Publication 22), good to 12 %."""
    area, girth = 1e6 * math.pi * (diameter - wall) * wall, 1e3 * math.pi * diameter
    expected = 8.63 * area**0.5 * girth**0.36
    assert current_for_50_kelvin(tube(diameter, wall), "dull") == pytest.approx(expected, rel=0.12)


def test_resistivity_and_temperature_agree():
    cooling = Cooling(40.0)
    solution = in_air({"it": bar(0.01, 0.1)}, cooling, current=2000.0, frequency=50.0)
    balance = state_of(solution, cooling).balance
    assert balance.mean[0] == pytest.approx(solution.problem.conductors[0].temperature, abs=0.02)
    assert balance.losses.total.sum() == pytest.approx(float(solution.fine.powers.real.sum()), rel=1e-4)
    assert balance.losses.total.sum() == pytest.approx(float(balance.power.sum()), rel=1e-9)


def test_the_rated_current_brings_the_limit():
    """Solved anew with the currents it names, the hottest point is at the limit."""
    cooling = Cooling(40.0)
    shapes = {"a": bar(0.01, 0.06).placed((-0.02, 0), 0), "b": bar(0.01, 0.06).placed((0.02, 0), 0)}
    found = rating(in_air(shapes, cooling, frequency=50.0), cooling, 85.0)
    assert found.low < found.factor < found.high
    again = in_air(shapes, cooling, frequency=50.0, current=500.0 * found.factor)
    assert state_of(again, cooling).balance.hottest[0].max() == pytest.approx(85.0, abs=0.05)


def test_the_middle_one_of_three_close_bars_is_the_hottest_and_gives_to_its_neighbours():
    cooling = Cooling(40.0)
    shapes = {name: bar(0.01, 0.06).placed((x, 0), 0) for name, x in (("l", -0.012), ("m", 0.0), ("r", 0.012))}
    solution = in_air(shapes, cooling, current=400.0)
    balance = state_of(solution, cooling).balance
    left, middle, right = balance.mean
    assert left == pytest.approx(right, abs=0.02)
    assert middle > left + 0.5
    exchange = balance.by_conductor(balance.losses.exchange)
    assert exchange[1] > 0 > exchange[0]
    assert exchange.sum() == pytest.approx(0.0, abs=1e-9)
    alone = state_of(in_air({"m": bar(0.01, 0.06)}, cooling, current=400.0), cooling).balance
    assert alone.mean[0] < left


def test_flat_bars_stacked_closely_hold_their_heat_better_than_upright_ones():
    """Air rises between upright faces, and not between level ones."""
    cooling = Cooling(40.0)

    def hottest(turn):
        places = [(-0.008, 0.0), (0.008, 0.0)] if not turn else [(0.0, -0.008), (0.0, 0.008)]
        shape = bar(0.006, 0.08) if not turn else bar(0.08, 0.006)
        shapes = {f"b{k}": shape.placed(p, 0) for k, p in enumerate(places)}
        return state_of(in_air(shapes, cooling), cooling).balance.hottest[0].max()

    assert hottest(turn=True) > hottest(turn=False) + 2


@pytest.mark.parametrize(
    ("cooler", "than"),
    [
        (Cooling(40.0, FINISHES["painted"]), Cooling(40.0, FINISHES["bright"])),
        (Cooling(40.0, stream=AirStream(speed=2.0)), Cooling(40.0)),
        (Cooling(40.0), Cooling(40.0, stream=AirStream(altitude=3000.0))),
        (Cooling(40.0), Cooling(40.0, stream=AirStream(tilt=math.pi / 2, length=3.0))),
        (Cooling(20.0), Cooling(40.0)),
    ],
)
def test_what_cools_better(cooler, than):
    shape = {"it": bar(0.005, 0.05)}
    one, other = (state_of(in_air(shape, c), c).balance.mean[0] for c in (cooler, than))
    assert one < other - 0.5


def test_the_band_contains_the_answer_and_grows_with_the_rise():
    cooling = Cooling(40.0)
    widths = []
    for current in (300.0, 700.0):
        state = state_of(in_air({"it": bar(0.005, 0.05)}, cooling, current=current), cooling)
        value = state.balance.hottest[0][0]
        assert state.coldest[0] < value < state.hottest[0]
        widths.append(state.hottest[0] - state.coldest[0])
    assert widths[1] > 3 * widths[0]


def test_a_temperature_that_runs_away_says_so_in_words():
    with pytest.raises(NoStableTemperature, match='"wire" has no stable temperature up to 400 degC') as caught:
        in_air({"wire": round_bar(0.003)}, Cooling(40.0), current=400.0)
    made, lost = map(float, re.findall(r"([-+.e0-9]+) W/m", str(caught.value)))
    assert made > lost > 0


def test_bars_far_above_the_air_have_a_steady_state_below_the_ceiling():
    """Bright bars, cold to begin with, one under the other: a step beyond 400 degC is no running away."""
    bars = tuple(
        Conductor(Part(name, bar(0.1, 0.006).placed((0.0, y))), COPPER, 35.0)
        for name, y in (("top", 0.005), ("under", -0.005))
    )
    cooling = Cooling(35.0, FINISHES["bright"])
    solution = electrothermal(Problem(bars, (Circuit("feed", 600.0, ("top",), ("under",)),)), 85e3, cooling)
    state = state_of(solution, cooling)
    assert 250 < state.balance.hottest[0].max() < 350
    lost = state.balance.by_conductor(state.balance.losses.total)
    assert lost == pytest.approx(state.balance.power, rel=1e-6)


def test_no_resistance_that_grows_no_running_away():
    """A metal whose resistance does not change reaches a stable state where copper runs away."""
    flat = Material("flat", 58e6, thermal_conductivity=391.0)
    shape, cooling, current = {"it": bar(0.005, 0.05)}, Cooling(40.0), 1400.0
    state = state_of(in_air(shape, cooling, metal=flat, current=current), cooling)
    assert 100 < state.balance.mean[0] < 400
    with pytest.raises(NoStableTemperature):
        in_air(shape, cooling, current=2.2 * current)


def test_a_limit_below_the_air_is_refused():
    cooling = Cooling(40.0)
    with pytest.raises(ValueError, match="above 40 degC"):
        rating(in_air({"it": bar(0.005, 0.05)}, cooling), cooling, 30.0)


def test_a_conductor_held_by_water_keeps_its_temperature():
    cooling = Cooling(40.0)
    shapes = {"wet": bar(0.01, 0.06), "dry": bar(0.01, 0.06).placed((0.02, 0), 0)}
    conductors = tuple(Conductor(Part(n, s), COPPER, t) for (n, s), t in zip(shapes.items(), (30.0, 60.0), strict=True))
    problem = Problem(conductors, tuple(Circuit(n, 600.0, (n,)) for n in shapes))
    solution = electrothermal(problem, 50.0, cooling, fixed=frozenset({"wet"}))
    balance = state_of(solution, cooling, frozenset({"wet"})).balance
    assert balance.mean[0] == balance.surface[0] == 30.0
    assert np.isfinite(balance.hottest[0]).all()
    free = state_of(electrothermal(problem, 50.0, cooling), cooling).balance
    assert balance.mean[1] < free.mean[1]


def test_where_the_temperature_runs_away_the_currents_that_hold_are_found():
    """The same limit from currents far too high as from small ones, and the largest stable current from both sides."""
    shape, air = {"wire": round_bar(0.003)}, Cooling(40.0)
    conductor = Conductor(Part("wire", shape["wire"]), COPPER, 80.0)
    too_much = solve(Problem((conductor,), (Circuit("wire", 400.0, ("wire",)),)), 0.0)
    within = rating(too_much, air, 90.0)
    from_below = rating(in_air(shape, air, current=20.0), air, 90.0)
    assert 400 * within.factor == pytest.approx(20 * from_below.factor, rel=1e-3)
    largest = rating(too_much, air, CEILING)
    assert within.factor < largest.factor < 1
    assert in_air(shape, air, current=400 * 0.99 * largest.factor).problem.conductors[0].temperature < CEILING
    with pytest.raises(NoStableTemperature):
        in_air(shape, air, current=400 * 1.01 * largest.factor)
