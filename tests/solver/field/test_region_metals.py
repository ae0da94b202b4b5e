"""What fills the regions: conductivity at temperature, and what roughness multiplies."""

import pytest

from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.shapes import round_bar
from crosscurrent.solver.field.problem import Conductor, Problem
from crosscurrent.solver.field.region_metals import (
    any_magnetic,
    region_metals,
    region_skins,
    roughness_in_depths,
    smooth_metals,
    surface_factor,
)
from crosscurrent.solver.metals.materials import MATERIALS

COPPER, NICKEL = MATERIALS["copper"], MATERIALS["nickel"]
PLATED = Conductor(Part("plated", round_bar(0.010), (1e-5,)), COPPER, 80.0, (NICKEL,))
ROUGH = Conductor(Part("rough", round_bar(0.010).placed((0.02, 0))), COPPER, roughness=2e-6)


def test_part_by_part_the_base_metal_first() -> None:
    found = region_metals(Problem((PLATED, ROUGH), ()), 50.0)
    assert [m.conductivity for m in found] == [
        COPPER.conductivity_at(80.0), NICKEL.conductivity_at(80.0), COPPER.conductivity
    ]  # fmt: skip
    assert [m.permeability for m in found] == [1.0, NICKEL.permeability, 1.0]
    assert any_magnetic(found)
    assert not any_magnetic(found[:1])


def test_rough_surfaces_cost_resistance_and_smooth_ones_nothing() -> None:
    assert surface_factor(PLATED, 1e6) == 1.0
    assert surface_factor(ROUGH, 0.0) == 1.0
    low, high = (((1 + 1j) * surface_factor(ROUGH, f)).real for f in (1e4, 1e8))  # of resistance
    assert high > low > 1.0
    assert all(m.surface == 1.0 for m in smooth_metals(Problem((PLATED, ROUGH), ())))


def test_skins_and_roughness_in_them() -> None:
    skins = region_skins(Problem((PLATED, ROUGH), ()), 1e6)
    assert [len(s) for s in skins] == [2, 1]
    assert skins[1][0] == pytest.approx(66.1e-6, rel=1e-3)  # of copper with 58 MS/m, any textbook
    assert roughness_in_depths(ROUGH, 1e6) == pytest.approx(2e-6 / skins[1][0])
