"""Water in bores against worked examples of textbooks, steam tables and plain balances."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from crosscurrent.solver.coolant import ATMOSPHERE, Coolant, CoolantError, Liquid, atmosphere
from crosscurrent.solver.pipe import BEND, INTO, OUT_OF, Passage, WaterError, friction, nusselt, regime, split
from crosscurrent.solver.water import WaterCircuit

LITRE = 1e-3 / 60
FOOT, POUND, PSI = 0.3048, 0.45359237, 6894.757


def tube(diameter: float, length: float, loss: float, *, bends: int = 0, roughness: float = 0.0) -> Passage:
    name = f"tube {diameter * 1e3:g} mm"
    return Passage(name, math.pi * diameter**2 / 4, math.pi * diameter, length, loss, bends=bends, roughness=roughness)


# --- worked examples ---------------------------------------------------------------------------------------------


def test_heater_in_a_tube() -> None:
    """Y. A. Cengel, Heat and Mass Transfer, example 8-5: 10 l/min, 30 mm, 5 m, 15 to 65 degC; from memory.

    Printed: 34.6 kW, 0.236 m/s, Re 10 760, Nu 69.5, h 1462 W/m2K, wall 115 degC at the exit - it boils at 1 atm.
    The book takes the equation of Dittus and Boelter, which lies within 3 % of the one used here.
    """
    assert nusselt(10760, 4.32) == pytest.approx(69.5, rel=0.03)
    stream = WaterCircuit((tube(0.030, 5.0, 34.6e3 / 5),), 15.0, outlet_pressure=ATMOSPHERE).at(10 * LITRE)
    leg = stream.legs[0]
    assert stream.outlet == pytest.approx(65, abs=0.5)
    assert leg.velocity == pytest.approx(0.236, rel=0.01)  # the book counts the litres warm
    assert leg.reynolds == pytest.approx(10760, rel=0.01)
    assert leg.film == pytest.approx(1462, rel=0.03)
    assert leg.surface == pytest.approx(115, abs=1.5)
    assert leg.boiling == pytest.approx(100, abs=0.1)
    assert leg.margin < -13


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


def test_heat_made_in_the_wall() -> None:
    """F. P. Incropera and D. P. DeWitt, Fundamentals of Heat and Mass Transfer, example 8.2; from memory.

    1 MW/m3 in a wall of 20 and 40 mm, 0.1 kg/s from 20 to 60 degC. Printed: 17.7 m.
    """
    per_metre = 1e6 * math.pi / 4 * (0.040**2 - 0.020**2)
    circuit = WaterCircuit((tube(0.020, 17.7, per_metre),), 20.0)
    flow = 0.1 / Coolant().at(20.0).density
    assert circuit.at(flow).outlet == pytest.approx(60, abs=0.2)


def test_rule_of_the_trade() -> None:
    """l/min = 14.33 P [kW] / dT [K]; common practice."""
    stream = WaterCircuit((tube(0.010, 1.0, 14e3),), 20.0).at(10 * LITRE)
    assert stream.outlet - 20 == pytest.approx(14.33 * 14 / 10, rel=5e-3)


# --- properties --------------------------------------------------------------------------------------------------


def test_water() -> None:
    """Textbook table at 40 degC: 992.1 kg/m3, 4179 J/(kg K), 0.631 W/(m K), 0.653 mPa s, Pr 4.32."""
    liquid = Coolant().at(40.0)
    assert liquid.density == pytest.approx(992.1, rel=1e-3)
    assert liquid.heat_capacity == pytest.approx(4179, rel=1e-3)
    assert liquid.conductivity == pytest.approx(0.631, rel=6e-3)
    assert liquid.viscosity == pytest.approx(0.653e-3, rel=5e-3)
    assert liquid.prandtl == pytest.approx(4.32, rel=0.01)


def test_boiling() -> None:
    """Steam tables: 99.97 degC at 101.325 kPa, 120.21 degC at 2 bar, 151.83 degC at 5 bar."""
    assert Coolant().boiling(ATMOSPHERE) == pytest.approx(99.97, abs=0.02)
    assert Coolant().boiling(2e5) == pytest.approx(120.21, abs=0.02)
    assert Coolant().boiling(5e5) == pytest.approx(151.83, abs=0.02)


@pytest.mark.parametrize(("altitude", "pressure", "boils"), [(1000, 89.55, 96.5), (2000, 79.50, 93.3)])
def test_boiling_in_the_mountains(altitude: float, pressure: float, boils: float) -> None:
    """Y. A. Cengel and M. A. Boles, Thermodynamics, boiling of water over altitude; from memory."""
    assert atmosphere(altitude) / 1e3 == pytest.approx(pressure, rel=4e-3)
    assert Coolant().boiling(atmosphere(altitude)) == pytest.approx(boils, abs=0.15)


def test_glycol_carries_less_and_freezes_later() -> None:
    """30 % glycol by mass freezes near -15 degC and carries about a tenth less; handbooks."""
    mixture, water = Coolant(0.3), Coolant()
    assert mixture.freezing == pytest.approx(-15, abs=1.5)
    carried = [c.at(30.0).density * c.at(30.0).heat_capacity for c in (mixture, water)]
    assert 0.88 < carried[0] / carried[1] < 0.95
    assert mixture.at(30.0).viscosity > 1.8 * water.at(30.0).viscosity
    assert "Melinder" in mixture.source
    with pytest.raises(CoolantError, match=r"expected a mass share from 0 to 0[.]6, found 0[.]9"):
        Coolant(0.9)


# --- the correlations --------------------------------------------------------------------------------------------


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


# --- several conductors ------------------------------------------------------------------------------------------


def test_series_and_parallel_take_the_same_heat() -> None:
    passages = (tube(0.010, 2.0, 800.0), tube(0.012, 2.0, 400.0))
    series, parallel = (WaterCircuit(passages, 25.0, joined=how).at(4 * LITRE) for how in ("series", "parallel"))
    assert series.heat == parallel.heat == 2400.0
    assert series.outlet == pytest.approx(parallel.outlet, abs=1e-3)
    assert series.legs[1].inlet == series.legs[0].outlet
    assert series.drop == pytest.approx(sum(leg.drop for leg in series.legs))
    assert series.legs[0].pressure == pytest.approx(series.legs[1].pressure + series.legs[1].drop)
    assert parallel.legs[0].drop == pytest.approx(parallel.legs[1].drop, rel=1e-5)
    assert series.drop > 3 * parallel.drop


def test_equal_tubes_share_equally_and_a_narrow_one_gets_less() -> None:
    water = Coolant().at(30.0)
    same, narrow = tube(0.010, 2.0, 0.0), tube(0.006, 2.0, 0.0)
    assert split((same, same, same), 0.06, [water] * 3) == pytest.approx([0.02] * 3)
    flows = split((same, narrow), 0.07, [water] * 2)
    assert sum(flows) == pytest.approx(0.07)
    drops = [p.drop(flow / water.density, water) for p, flow in zip((same, narrow), flows, strict=True)]
    assert drops[0] == pytest.approx(drops[1], rel=1e-6)
    assert flows[1] < 0.3 * flows[0]


def test_bores_of_one_conductor_stand_side_by_side() -> None:
    """In series with another conductor: the same pressure drop in both bores, and their water mixes behind them."""
    wide, narrow = (replace(tube(d, 3.0, q), name="bar", bore=k) for k, d, q in ((1, 0.010, 900.0), (2, 0.006, 300.0)))
    circuit = WaterCircuit((wide, narrow, tube(0.012, 3.0, 500.0)), 20.0)
    stream = circuit.at(6 * LITRE)
    (first, second), (last,) = stream.stages
    assert first.drop == pytest.approx(second.drop, rel=1e-5)
    assert first.mass + second.mass == pytest.approx(last.mass, rel=1e-9) == pytest.approx(0.0998, rel=1e-3)
    assert stream.drop == pytest.approx(first.drop + last.drop, rel=1e-5)
    # 1200 W/m over 3 m in 0.0998 kg/s of 4182 J/(kg K), then 500 W/m
    assert last.inlet == pytest.approx(20 + 3600 / (0.0998 * 4182), abs=0.01)
    assert second.outlet > first.outlet
    assert circuit.at(circuit.flow_for_drop(2e4)).drop == pytest.approx(2e4, rel=1e-5)


def test_flows_for_a_wish() -> None:
    circuit = WaterCircuit((tube(0.008, 3.0, 1500.0),), 25.0)
    assert circuit.at(circuit.flow_for_drop(1e5)).drop == pytest.approx(1e5, rel=1e-6)
    assert circuit.at(circuit.flow_for_outlet(45.0)).outlet == pytest.approx(45.0, abs=1e-4)
    assert circuit.at(circuit.flow_for_surface(60.0)).surface == pytest.approx(60.0, abs=1e-4)
    with pytest.raises(WaterError, match="expected a limit above the inlet's 25 degC, found 20 degC"):
        circuit.flow_for_surface(20.0)
    with pytest.raises(WaterError, match="no flow up to"):
        circuit.flow_for_drop(1e12)
    capillary = WaterCircuit((tube(0.0001, 3.0, 30.0),), 25.0)
    assert capillary.at(capillary.flow_for_drop(2e5)).drop == pytest.approx(2e5, rel=1e-6)


@pytest.mark.parametrize(("flow", "scatter"), [(0.5, 0.2), (1.3, 0.3), (4.0, 0.2)])
def test_a_film_is_least_known_between_laminar_and_turbulent(flow: float, scatter: float) -> None:
    assert WaterCircuit((tube(0.010, 3.0, 100.0),), 20.0).at(flow * LITRE).legs[0].scatter == scatter
