"""[material.NAME]: a metal of the user's own."""

from __future__ import annotations

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
