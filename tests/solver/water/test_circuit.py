"""Water through several bores against a worked example of a textbook and plain balances."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from water_tubes import LITRE, tube

from crosscurrent.solver.water.circuit import WaterCircuit
from crosscurrent.solver.water.coolant import ATMOSPHERE, Coolant
from crosscurrent.solver.water.pipe import WaterError, nusselt


def test_heater_in_a_tube() -> None:
    """Y. A. Cengel, Heat and Mass Transfer, example 8-5: 10 l/min, 30 mm, 5 m, 15 to 65 degC; from memory.

    Printed: 34.6 kW, 0.236 m/s, Re 10 760, Nu 69.5, h 1462 W/m2K, wall 115 degC at the exit - it boils at 1 atm.
    The book takes the equation of Dittus and Boelter, which lies within 3 % of the one used here.
    """
    assert nusselt(10760, 4.32) == pytest.approx(69.5, rel=0.03)
    stream = WaterCircuit((tube(0.030, 5.0, 34.6e3 / 5),), 15.0, outlet_pressure=ATMOSPHERE).at(10 * LITRE)
    branch = stream.branches[0]
    assert stream.outlet == pytest.approx(65, abs=0.5)
    assert branch.velocity == pytest.approx(0.236, rel=0.01)  # the book counts the litres warm
    assert branch.reynolds == pytest.approx(10760, rel=0.01)
    assert branch.film == pytest.approx(1462, rel=0.03)
    assert branch.surface == pytest.approx(115, abs=1.5)
    assert branch.boiling == pytest.approx(100, abs=0.1)
    assert branch.margin < -13


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








def test_series_and_parallel_take_the_same_heat() -> None:
    passages = (tube(0.010, 2.0, 800.0), tube(0.012, 2.0, 400.0))
    series, parallel = (WaterCircuit(passages, 25.0, joined=how).at(4 * LITRE) for how in ("series", "parallel"))
    assert series.heat == parallel.heat == 2400.0
    assert series.outlet == pytest.approx(parallel.outlet, abs=1e-3)
    assert series.branches[1].inlet == series.branches[0].outlet
    assert series.drop == pytest.approx(sum(branch.drop for branch in series.branches))
    assert series.branches[0].pressure == pytest.approx(series.branches[1].pressure + series.branches[1].drop)
    assert parallel.branches[0].drop == pytest.approx(parallel.branches[1].drop, rel=1e-5)
    assert series.drop > 3 * parallel.drop


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
    assert WaterCircuit((tube(0.010, 3.0, 100.0),), 20.0).at(flow * LITRE).branches[0].scatter == scatter
