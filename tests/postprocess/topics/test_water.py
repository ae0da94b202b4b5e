"""Figures and record of the water: rise and walls with their bars, and what a document needs."""

from __future__ import annotations

import json

import pytest
from made_water import answer

from crosscurrent.postprocess.topics.water import hottest_metal, record, rise, wall


def test_the_rise_is_known_as_well_as_the_loss() -> None:
    """3 kW into 6 l/min make 7.18 K, to 1 % of the loss and 0.1 % of the properties of water."""
    found = rise(answer())
    assert found.value == pytest.approx(7.18, abs=0.03)
    assert found.error == pytest.approx(0.011 * found.value)
    assert (found.unit, found.of, found.load, found.frequency) == ("K", "bar", "water at 50 Hz", 50.0)


def test_walls_are_hotter_than_the_water_and_metal_no_cooler() -> None:
    c = answer()
    (branch,) = c.stream.branches
    assert wall(c, branch).value > c.stream.outlet
    (metal,) = hottest_metal(c)
    assert metal.of == "bar"
    assert metal.value >= wall(c, branch).value
    assert metal.error == 5.0


def test_the_record_is_plain_data_that_adds_up() -> None:
    c = answer(limits={"wall": 60.0}, needed={"wall": None})
    found = json.loads(json.dumps(record(c), allow_nan=False))
    assert found["heat_w"] == pytest.approx(3 * 1000.0)
    assert found["flow_needed_m3_per_s"] == {"wall_limit": None}
    assert found["inlet_pressure_pa"] == pytest.approx(c.circuit.outlet_pressure + found["pressure_drop_pa"])
    assert found["passages"]["bar"]["outlet_degc"] == found["outlet_degc"]
