"""The chapter "tank": the capacitor makes the coil look resistive, by circuit theory."""

from __future__ import annotations

import math

import pytest
from topic_cases import chapter

from crosscurrent.casefile.case import checked_case
from crosscurrent.postprocess.answers.cautions import CAPACITOR
from crosscurrent.postprocess.topics.tank import TankAnswer
from crosscurrent.run import solve_case

TURN = {"name": "turn", "shape": "round", "diameter": "5 mm", "material": "copper", "centre": ["20 mm", "0 mm"]}
BILLET = {"name": "billet", "shape": "bar", "width": "20 mm", "thickness": "40 mm", "material": "brass"}


@pytest.mark.parametrize("joined", ["series", "parallel"])
def test_what_the_supply_sees_is_resistive(joined: str) -> None:
    omega, z = 2 * math.pi * 20e3, 0.02 + 0.3j
    tank = TankAnswer("work", joined, 20e3, 100.0, z.real, 1e-4, z.imag / omega, 2e-4)  # type: ignore[arg-type]
    capacitor = 1 / (1j * omega * tank.capacitance)
    whole = z + capacitor if joined == "series" else 1 / (1 / z + 1 / capacitor)
    assert whole.imag == pytest.approx(0.0, abs=1e-12)
    assert tank.supply_voltage / tank.supply_current == pytest.approx(whole.real)
    assert tank.supply_voltage * tank.supply_current == pytest.approx(tank.power) == pytest.approx(200.0)
    assert tank.voltage == pytest.approx(tank.capacitor_current * abs(capacitor))
    assert tank.quality == pytest.approx(15.0)


@pytest.mark.parametrize("joined", ["series", "parallel"])
def test_bars_of_the_capacitor_hold_for_errors_as_large_as_stated(joined: str) -> None:
    parts = "work", joined, 20e3, 100.0
    tank = TankAnswer(*parts, 0.1, 1e-3, 2e-6, 1e-3)  # type: ignore[arg-type]
    for r in (0.999, 1.001):
        for x in (0.999, 1.001):
            off = TankAnswer(*parts, 0.1 * r, 0.0, 2e-6 * x, 0.0)  # type: ignore[arg-type]
            assert abs(off.capacitance / tank.capacitance - 1) <= 1.01 * tank.capacitance_error


def test_empty_is_the_coil_solved_without_its_piece() -> None:
    case = {
        "symmetry": "axial",
        "frequency": {"at": ["20 kHz"]},
        "conductor": [TURN, BILLET],
        "coil": [{"name": "work", "turns": ["turn"], "current": "100 A"}],
    }
    result = solve_case(checked_case(case | {"tank": {"empty": True}}))
    alone = solve_case(checked_case(case | {"conductor": [TURN]})).points[0].circuits["work"]
    (point,) = chapter(result, "tank").record["points"]
    assert point["empty"]["inductance_h"] == pytest.approx(alone.inductance, rel=1e-4)
    assert point["empty"]["resistance_ohm"] == pytest.approx(alone.resistance, rel=1e-3)
    assert point["empty"]["resonance_hz"] < 20e3  # the piece lowers the inductance
    assert point["empty"]["quality"] > point["quality_loaded"]
    assert CAPACITOR in result.cautions
