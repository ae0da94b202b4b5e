"""Water and glycol against printed tables."""

from __future__ import annotations

import math

import pytest

from crosscurrent.solver.water.coolant import ATMOSPHERE, Coolant, CoolantError, atmosphere


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


@pytest.mark.parametrize("celsius", [60.0, 80.0, 99.0])
def test_boiling_by_antoine(celsius: float) -> None:
    """lg p [mmHg] = 8.07131 - 1730.63 / (233.426 + t) for water up to 100 degC: handbooks, from memory."""
    pressure = 10 ** (8.07131 - 1730.63 / (233.426 + celsius)) * ATMOSPHERE / 760
    assert Coolant().boiling(pressure) == pytest.approx(celsius, abs=0.1)


def test_beyond_boiling_the_properties_stay() -> None:
    assert Coolant().at(150.0) == Coolant().at(Coolant().boiling(ATMOSPHERE) - 0.01)
    assert math.isfinite(Coolant(0.4).at(-40.0).viscosity)
