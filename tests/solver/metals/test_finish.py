"""How much plating is enough, best and too much: against published curves and the law of the lone wall."""

import math

import numpy as np
import pytest

from crosscurrent.solver.metals.depth import worthwhile_thickness
from crosscurrent.solver.metals.finish import PlatingFinish, plating_answer, price_of_roughness, table_thicknesses
from crosscurrent.solver.metals.layers import Layer
from crosscurrent.solver.metals.materials import MATERIALS, Material, Plated, material

BRASS, COPPER = Material("brass", 15.9e6), Material("copper", 58e6)
SILVER, TIN = Material("silver", 62.9e6), Material("tin", 8.7e6)
NICKEL = Material("nickel", 14.3e6, permeability=100)


def ratio(finish, depths):
    return float(finish.resistance(np.array(depths * finish.depth)) / finish.bare)


@pytest.mark.parametrize(
    ("base", "outer", "depths", "value"),
    [
        (BRASS, SILVER, 0.5, 0.6773794915),  # plating-034
        (BRASS, SILVER, math.pi / 2, 0.4885995708),  # plating-037
        (COPPER, TIN, 1.0, 2.40306467),  # plating-049
        (COPPER, NICKEL, 2.0, 21.0907461),  # plating-080
    ],
)
@pytest.mark.parametrize("frequency", [50.0, 13.56e6])
def test_curves_pass_through_published_points(base, outer, depths, value, frequency):
    assert ratio(PlatingFinish(base, (), outer, frequency), depths) == pytest.approx(value, rel=1e-8)


def test_silver_on_brass_is_lowest_at_a_quarter_wave_of_its_depth():
    finish = PlatingFinish(BRASS, (), SILVER, 13.56e6)
    answer = plating_answer(finish)
    assert answer.lowest[0] / finish.depth == pytest.approx(math.pi / 2, rel=1e-4)
    assert answer.lowest[1] / finish.bare == pytest.approx(0.4885995708, rel=1e-6)  # plating-037
    assert answer.highest is None
    assert answer.hurts == ()


def test_enough_is_one_percent_above_the_lowest():
    finish = PlatingFinish(BRASS, (), SILVER, 13.56e6)
    answer = plating_answer(finish)
    assert ratio(finish, answer.enough / finish.depth) == pytest.approx(0.4885995708 / 0.99, rel=1e-5)
    assert answer.enough < answer.lowest[0]
    assert answer.enough_within == (answer.enough, answer.enough)  # no bounds for these metals


def test_on_a_base_that_hardly_conducts_the_plating_is_a_lone_wall():
    finish = PlatingFinish(Material("poor", 1.0), (), SILVER, 1e6)
    answer = plating_answer(finish)
    assert answer.enough == pytest.approx(worthwhile_thickness(finish.depth), rel=2e-3)
    assert answer.lowest[1] / finish.solid == pytest.approx(math.tanh(math.pi / 2), rel=1e-3)


def test_tin_on_copper_only_costs():
    finish = PlatingFinish(COPPER, (), TIN, 1e6)
    answer = plating_answer(finish)
    assert (answer.enough, answer.lowest) == (0.0, None)
    assert answer.highest[0] / finish.depth == pytest.approx(math.pi / 2, rel=1e-4)
    assert answer.highest[1] / finish.bare == pytest.approx(2.682463441, rel=1e-6)  # plating-051
    ((start, end),) = answer.hurts
    assert end == math.inf
    assert ratio(finish, start / finish.depth) == pytest.approx(1.01, rel=1e-5)


def test_silver_over_nickel_hurts_until_it_is_thick_enough():
    finish = PlatingFinish(COPPER, (Layer(NICKEL, 2e-6),), SILVER, 13.56e6)
    answer = plating_answer(finish)
    ((start, end),) = answer.hurts
    assert start == 0
    assert ratio(finish, end / finish.depth) == pytest.approx(1.01, rel=1e-4)
    assert ratio(finish, 0.0) > 5


def test_same_metal_changes_nothing():
    finish = PlatingFinish(COPPER, (), COPPER, 1e5)
    answer = plating_answer(finish)
    assert (answer.enough, answer.lowest, answer.highest, answer.hurts) == (0.0, None, None, ())
    assert finish.resistance(np.geomspace(1e-6, 1e-2, 9)) / finish.bare == pytest.approx(np.ones(9), rel=1e-12)


def test_band_spans_what_a_bath_makes():
    silver = Material("silver", 62.9e6, as_plated=Plated((42e6, 62.9e6)))
    finish = PlatingFinish(BRASS, (), silver, 13.56e6)
    thickness = finish.depth * np.geomspace(0.01, 6, 30)
    low, high = finish.band(thickness)
    poorest = PlatingFinish(BRASS, (), Material("poor silver", 42e6), 13.56e6).resistance(thickness)
    assert low == pytest.approx(finish.resistance(thickness), rel=1e-12)
    assert high == pytest.approx(poorest, rel=1e-12)
    assert plating_answer(finish).enough_within[1] > 1.1 * plating_answer(finish).enough


def test_band_of_nickel_counts_its_permeability_wherever_it_lies():
    nickel = Material("nickel", 14.3e6, permeability=100, as_plated=Plated((14.3e6, 14.3e6), (10, 600)))
    alone, under = PlatingFinish(COPPER, (), nickel, 1e6), PlatingFinish(COPPER, (Layer(nickel, 5e-6),), SILVER, 1e6)
    thickness = np.array([1e-3])
    low, high = alone.band(thickness)
    # a thick layer has the resistance of the metal, as the root of permeability over conductivity
    assert low / alone.bare == pytest.approx(math.sqrt(10 * 58 / 14.3), rel=1e-6)
    assert high / alone.bare == pytest.approx(math.sqrt(600 * 58 / 14.3), rel=1e-6)
    low, high = under.band(np.array([0.0]))
    assert low < 2.61401294 * under.bare < high  # plating-188


def test_no_band_where_nothing_is_known():
    assert PlatingFinish(BRASS, (), SILVER, 1e6).band(np.array([1e-6])) is None


def test_library_states_what_it_assumes_of_plated_metals():
    known = {name for name, metal in MATERIALS.items() if metal.as_plated}
    assert known == {"copper", "silver", "gold", "tin", "nickel", "zinc"}
    for metal in MATERIALS.values():
        if metal.as_plated:
            low, high = metal.as_plated.conductivity
            assert low < 0.95 * metal.conductivity
            assert metal.conductivity <= high
            assert metal.as_plated.permeability[0] <= metal.permeability <= metal.as_plated.permeability[1]
            assert "source" in metal.as_plated.source


@pytest.mark.parametrize("frequency", [50.0, 85e3, 13.56e6, 1e10])
def test_table_shows_round_thicknesses_over_the_whole_curve(frequency):
    finish = PlatingFinish(BRASS, (), SILVER, frequency)
    shown = table_thicknesses(finish)
    assert shown[0] == 0
    assert 8 <= len(shown) <= 12
    assert shown[1] < 0.1 * finish.depth
    assert shown[-1] > 2 * finish.depth
    assert shown == sorted(shown)


def test_warm_metal_needs_more():
    cold, hot = (PlatingFinish(material("brass"), (), material("silver"), 1e6, t) for t in (20.0, 120.0))
    assert plating_answer(hot).lowest[0] / plating_answer(cold).lowest[0] == pytest.approx(1.38**0.5, rel=1e-3)


def test_polish_matters_where_the_skin_is_thin():
    finish = PlatingFinish(COPPER, (), COPPER, 1.0)
    depth = 1e-6
    frequency = finish.depth**2 / depth**2  # skin depth of 1 um
    for thickness in (None, 1e-3):
        found = price_of_roughness(PlatingFinish(COPPER, (), COPPER, frequency), thickness, 0.5 * depth)
        assert found == pytest.approx((1.325668, 1.214334, 1.367879), abs=2e-6)  # rough-013 to rough-015
