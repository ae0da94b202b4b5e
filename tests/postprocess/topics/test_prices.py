"""Words of mass and money: what is known, what is not, what is precious."""

from __future__ import annotations

import pytest

from crosscurrent.postprocess.topics.prices import PricedMetal, PricesAnswer, measured, record, sentences, table
from crosscurrent.solver.field.masses import MetalShare

COPPER = PricedMetal(MetalShare("copper", 500e-6, 8000.0), 10.0)  # 4 kg/m
SILVER = PricedMetal(MetalShare("silver", 1e-6, 10_000.0))  # 10 g/m
ALLOY = PricedMetal(MetalShare("alloy", 1e-6, None))


def test_mass_and_money_of_a_run() -> None:
    found = PricesAnswer((COPPER, SILVER), "EUR", 2.0)
    assert record(found)["mass_kg_per_m"] == pytest.approx(4.01)
    assert record(found)["total_cost"] == pytest.approx(80)
    assert record(found)["without_price"] == ["silver"]
    assert list(sentences(found)) == [
        "the run of 2 m takes 8.020 kg and 80 EUR of metal",
        "no price is stated for silver: the cost leaves it out",
        "the run of 2 m takes 20.00 g of silver (2 cm3)",
    ]
    assert table(found).rows[0] == ("copper", "500", "4.000 kg", "40", "8.000 kg", "80")


def test_a_long_run_is_said_in_kilograms_and_without_powers_of_ten() -> None:
    found = PricesAnswer((COPPER,), "EUR", 600.0)
    assert list(sentences(found)) == ["the run of 600 m takes 2400 kg and 24000 EUR of metal"]
    assert table(found).rows[0] == ("copper", "500", "4.000 kg", "40", "2400 kg", "24000")


def test_a_density_that_is_lacking() -> None:
    found = PricesAnswer((COPPER, ALLOY), "EUR")
    assert record(found)["mass_kg_per_m"] is None
    figures = measured(found)
    assert not figures["cost"][0].known  # it leaves the alloy out
    assert list(sentences(found)) == ["the mass of alloy is unknown: give its density in [material.alloy]"]


def test_without_any_price_there_is_no_cost() -> None:
    found = PricesAnswer((SILVER,))
    assert record(found)["cost_per_m"] is None
    assert table(found).columns[-1] == "cost per metre"
