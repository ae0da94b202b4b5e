"""Friction and films in pipes against worked examples of textbooks and classic formulas."""

from __future__ import annotations

import math

import pytest
from water_tubes import LITRE, tube

from crosscurrent.solver.water.coolant import Coolant, Liquid
from crosscurrent.solver.water.pipe import BEND, INTO, OUT_OF, Passage, WaterError, friction, nusselt, regime, split

FOOT, POUND, PSI = 0.3048, 0.45359237, 6894.757


def test_turbulent_pressure_drop() -> None:
    """Y. A. Cengel and J. M. Cimbala, Fluid Mechanics, head loss in a water pipe; from memory.

    60 degF (62.36 lbm/ft3, 7.536e-4 lbm/(ft s)), 2 in, 200 ft, roughness 7e-6 ft, 0.2 ft3/s.
    Printed: 9.17 ft/s, Re 126 400, f 0.0174, 1700 lbf/ft2 (11.8 psi).
    """
    water = Liquid(62.36 * POUND / FOOT**3, 4186.0, 0.59, 7.536e-4 * POUND / FOOT)
    diameter, flow = FOOT / 6, 0.2 * FOOT**3
    pipe = tube(diameter, 200 * FOOT, 0.0, roughness=7e-6 * FOOT)
    speed = flow / pipe.area
    assert speed / FOOT == pytest.approx(9.17, rel=1e-3)
    reynolds = water.density * speed * diameter / water.viscosity
    assert reynolds == pytest.approx(126_400, rel=2e-3)
    assert friction(reynolds, 7e-6 * FOOT / diameter) == pytest.approx(0.0174, abs=1e-4)
    ends = (INTO + OUT_OF) * 0.5 * water.density * speed**2
    assert (pipe.drop(flow, water) - ends) / PSI == pytest.approx(11.8, rel=5e-3)


def test_rough_pipe() -> None:
    """F. M. White, Fluid Mechanics, example 6.7: asphalted cast iron, 6 in, 200 ft, 6 ft/s; from memory.

    nu = 1.1e-5 ft2/s, 62.4 lbf/ft3, roughness over diameter 0.0008. Printed: Re 270 000, f 0.02, 4.5 ft, 280 lbf/ft2.
    """
    density, diameter, speed = 62.4 * POUND / FOOT**3, 0.5 * FOOT, 6 * FOOT
    water = Liquid(density, 4186.0, 0.59, density * 1.1e-5 * FOOT**2)
    pipe = tube(diameter, 200 * FOOT, 0.0, roughness=0.0008 * diameter)
    assert friction(speed * diameter * density / water.viscosity, 0.0008) == pytest.approx(0.02, abs=3e-4)
    ends = (INTO + OUT_OF) * 0.5 * density * speed**2
    assert (pipe.drop(speed * pipe.area, water) - ends) / (PSI / 144) == pytest.approx(280, rel=0.02)


def test_laminar_pressure_drop() -> None:
    """The same book, the thin pipe: 40 degF, 0.12 in, 30 ft, 3 ft/s; printed: Re 1803, f 0.0355, 930 lbf/ft2."""
    water = Liquid(62.42 * POUND / FOOT**3, 4200.0, 0.57, 1.038e-3 * POUND / FOOT)
    diameter, speed = 0.01 * FOOT, 3 * FOOT
    pipe = tube(diameter, 30 * FOOT, 0.0)
    reynolds = water.density * speed * diameter / water.viscosity
    assert reynolds == pytest.approx(1803, rel=2e-3)
    assert friction(reynolds) == pytest.approx(0.0355, rel=2e-3)
    ends = (INTO + OUT_OF) * 0.5 * water.density * speed**2
    drop = pipe.drop(speed * pipe.area, water) - ends
    assert drop / (PSI / 144) == pytest.approx(930, rel=5e-3)


@pytest.mark.parametrize("border", [2300.0, 4000.0])
def test_no_jump_between_laminar_and_turbulent(border: float) -> None:
    for function in (lambda re: friction(re, 1e-4), lambda re: nusselt(re, 4.0)):
        assert function(border * (1 - 1e-9)) == pytest.approx(function(border * (1 + 1e-9)), rel=1e-6)
    assert [regime(re) for re in (2000, 3000, 5000)] == ["laminar", "transition", "turbulent"]


@pytest.mark.parametrize(("reynolds", "prandtl"), [(6e6, 5.0), (1e5, 0.3), (1e5, 3000.0)])
def test_refuses_what_the_correlation_does_not_cover(reynolds: float, prandtl: float) -> None:
    with pytest.raises(WaterError, match="the film correlation holds up to"):
        nusselt(reynolds, prandtl)


def test_bends_add_their_heads() -> None:
    water = Coolant().at(20.0)
    straight, bent = (tube(0.010, 1.0, 0.0, bends=n) for n in (0, 5))
    flow = 5 * LITRE
    head = 0.5 * water.density * (flow / straight.area) ** 2
    assert bent.drop(flow, water) - straight.drop(flow, water) == pytest.approx(5 * BEND * head)


def test_equal_tubes_share_equally_and_a_narrow_one_gets_less() -> None:
    water = Coolant().at(30.0)
    same, narrow = tube(0.010, 2.0, 0.0), tube(0.006, 2.0, 0.0)
    assert split((same, same, same), 0.06, [water] * 3) == pytest.approx([0.02] * 3)
    flows = split((same, narrow), 0.07, [water] * 2)
    assert sum(flows) == pytest.approx(0.07)
    drops = [p.drop(flow / water.density, water) for p, flow in zip((same, narrow), flows, strict=True)]
    assert drops[0] == pytest.approx(drops[1], rel=1e-6)
    assert flows[1] < 0.3 * flows[0]


@pytest.mark.parametrize("reynolds", [1e4, 3e4, 1e5])
def test_smooth_pipes_follow_blasius(reynolds: float) -> None:
    """H. Blasius, 1913: f = 0.3164 / Re^0.25, up to Re 1e5 and good to some percent."""
    assert friction(reynolds) == pytest.approx(0.3164 / reynolds**0.25, rel=0.025)


@pytest.mark.parametrize(("reynolds", "roughness"), [(1e4, 1e-3), (1e5, 1e-4), (1e6, 1e-2)])
def test_friction_solves_colebrooks_equation(reynolds: float, roughness: float) -> None:
    """C. F. Colebrook, 1939: 1 / sqrt(f) = -2 lg(e / 3.7 + 2.51 / (Re sqrt(f)))."""
    root = math.sqrt(friction(reynolds, roughness))
    assert 1 / root == pytest.approx(-2 * math.log10(roughness / 3.7 + 2.51 / (reynolds * root)), rel=1e-3)


@pytest.mark.parametrize(("reynolds", "prandtl"), [(1e4, 7.0), (3e4, 5.0), (1e5, 3.0)])
def test_films_lie_near_dittus_and_boelter(reynolds: float, prandtl: float) -> None:
    """F. W. Dittus and L. M. K. Boelter, 1930, heating: Nu = 0.023 Re^0.8 Pr^0.4; the two agree to about 15 %."""
    assert nusselt(reynolds, prandtl) == pytest.approx(0.023 * reynolds**0.8 * prandtl**0.4, rel=0.15)


def test_a_square_bore_is_not_round() -> None:
    square = Passage("bore", 1e-4, 0.04, 1.0, 100.0)
    assert square.diameter == pytest.approx(0.01)
    assert not square.is_round
    assert tube(0.01, 1.0, 0.0).is_round
