"""[material.NAME]: a metal of the user's own."""

from __future__ import annotations

import math

import pytest
from table_rows import refused

from crosscurrent.casefile.tables.material import MaterialTable
from crosscurrent.solver.metals.depth import MU0


def test_conductivity_or_resistivity() -> None:
    by_one = MaterialTable.model_validate({"conductivity": "50 MS/m"}).material("own")
    by_other = MaterialTable.model_validate({"resistivity": "0.02 ohm*mm2/m"}).material("own")
    assert by_one.conductivity == pytest.approx(by_other.conductivity)
    assert (by_one.name, by_one.source, by_one.reference) == ("own", "the case file", 20.0)
    assert refused(MaterialTable) == ("either conductivity or resistivity", "neither")


def test_a_curve_by_initial_permeability_and_saturation() -> None:
    """J of H = 1e9 A/m is the saturation, B / H of none the initial permeability."""
    table = {"conductivity": "6 MS/m", "initial_permeability": 500, "saturation": "1.9 T"}
    metal = MaterialTable.model_validate(table).material("own")
    assert metal.permeability == pytest.approx(500, rel=1e-5)
    assert metal.magnetisation is not None
    assert float(metal.magnetisation.density(1e9)) - 1e9 * MU0 == pytest.approx(1.9, rel=1e-4)
    assert MaterialTable.model_validate({"conductivity": "6 MS/m", "permeability": 7}).curve() is None


@pytest.mark.parametrize(("given", "ends"), [({}, 770.0), ({"curie_temperature": "358 degC"}, 358.0)])
def test_a_curve_ends_at_its_own_curie_temperature(given: dict[str, str], ends: float) -> None:
    """Nickel's is 358 degC (Kittel, Introduction to Solid State Physics: 627 to 631 K, from memory); that of iron if
    none is given."""
    table = {"conductivity": "14 MS/m", "initial_permeability": 100, "saturation": "0.6 T"} | given
    metal = MaterialTable.model_validate(table).material("own")
    assert metal.ends == ends
    assert [metal.warmed(t).permeability > 1 for t in (ends - 1, ends)] == [True, False]
    assert metal.skin_depth(5e3, ends) == pytest.approx(1.902e-3, rel=1e-3)  # sqrt(2 / (w mu0 sigma))


def test_a_constant_permeability_has_a_curie_temperature_only_if_it_is_given() -> None:
    table = {"conductivity": "14 MS/m", "permeability": 100}
    assert MaterialTable.model_validate(table).material("own").ends is None
    assert MaterialTable.model_validate(table | {"curie_temperature": "358 degC"}).material("own").ends == 358.0
    alone = refused(MaterialTable, conductivity="14 MS/m", curie_temperature="358 degC")
    assert alone == ("curie_temperature beside a permeability that is not 1, or a magnetisation curve",
                     "curie_temperature alone")  # fmt: skip


def test_ferrite_does_not_conduct_and_loses() -> None:
    table = {"conductivity": "0 S/m", "permeability": 2000, "permeability_loss": 40, "saturation": "0.35 T"}
    metal = MaterialTable.model_validate(table).material("ferrite")
    assert (metal.conductivity, metal.permeability, metal.permeability_loss, metal.saturation) == (0, 2000, 40, 0.35)
    assert metal.lag == pytest.approx(1 - 0.02j)
    assert metal.skin_depth(1e5) == math.inf
    assert metal.conduction == 4.0


@pytest.mark.parametrize(
    ("table", "found"),
    [
        ({"conductivity": "0 S/m"}, "a conductivity of 0"),
        ({"conductivity": "0 S/m", "initial_permeability": 500, "saturation": "0.4 T"}, "a conductivity of 0"),
        ({"conductivity": "6 MS/m", "permeability_loss": 4}, "permeability_loss alone"),
        ({"conductivity": "6 MS/m", "saturation": "0.4 T"}, "saturation alone"),
    ],
)
def test_what_ferrite_cannot_be(table: dict[str, object], found: str) -> None:
    assert refused(MaterialTable, **table)[1] == found
