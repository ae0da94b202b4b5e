"""[prices] in a case: mass with and without densities."""

from __future__ import annotations

import math

import pytest
from topic_cases import chapter, tube
from topic_cases import solved_tubes as solved


def test_own_material_with_and_without_a_density() -> None:
    own = {"conductivity": "30 MS/m"}
    conductors = [{**tube("go", "-10 mm"), "material": "alloy"}, tube("back", "10 mm")]
    lacking = chapter(solved(material={"alloy": own}, conductor=conductors, prices={"copper": "10 EUR/kg"}), "mass")
    assert lacking.record["mass_kg_per_m"] is None
    assert "the mass of alloy is unknown: give its density in [material.alloy]" in lacking.sentences
    known = {"alloy": {**own, "density": "8.0 g/cm3"}}
    complete = chapter(solved(material=known, conductor=conductors, prices={}), "mass")
    area = math.pi / 4 * (0.012**2 - 0.010**2)
    assert complete.record["mass_kg_per_m"] == pytest.approx(area * (8000 + 8890), rel=1e-6)
    assert complete.record["currency"] is None
