"""Searches for temperatures that go far from any steady state end in an answer, not in a domain error."""

import crosscurrent as cc


def test_a_limit_beside_a_conductor_that_water_keeps_has_its_current():
    tube = cc.tube("tube", material="copper", diameter="16 mm", wall="2 mm", centre=("-15 mm", "0 mm"))
    bar = cc.bar("bar", material="copper", width="10 mm", thickness="30 mm", centre=("12 mm", "0 mm"))
    feed = cc.circuit("feed", "300 A", out=["tube"], back=["bar"])
    water = {"conductors": ["tube"], "inlet": "20 degC", "flow": "2 l/min"}
    cooling = {"temperature_limit": "110 degC"}
    made = cc.case("mixed", [tube, bar], feed, at=["10 kHz"], length="2 m", cooling=cooling, water=water)
    sentences = cc.solve(made).chapter("temperature").sentences
    assert any("110 degC" in text and "feed" in text for text in sentences), sentences


def test_a_repeated_duty_far_above_its_start_settles():
    bars = cc.bar("bar", material="copper", width="40 mm", thickness="5 mm", centre=("0 mm", "-5 mm"),
                  repeat={"count": 2, "step": ["0 mm", "10 mm"]})  # fmt: skip
    feed = cc.circuit("feed", "500 A", out=["bar.1"], back=["bar.2"])
    duty = {"name": "boats", "on": "4 min", "off": "8 min"}
    cooling = {"finish": "oxidised"}
    result = cc.solve(cc.case("boats", bars, feed, at=["10 kHz"], ambient="35 degC", cooling=cooling, duty=duty))
    (peak, _) = result.chapter("duty").measured["duty_temperature"]
    steady = result.chapter("temperature").measured["temperature"][0].value
    assert 35 < peak.value < steady
