"""A stated temperature that air or water replaces is replaced visibly."""

from __future__ import annotations

from topic_cases import chapter, solved_bars, solved_tubes, tube


def test_air_replaces_what_was_stated() -> None:
    bars = solved_bars(cooling={}).case.data.conductor
    assert all(row.temperature is None for row in bars)
    result = solved_bars(cooling={}, conductor=[
        {"name": name, "shape": "bar", "width": "5 mm", "thickness": "50 mm", "material": "copper",
         "centre": [x, "0 mm"], "temperature": "120 degC"}
        for name, x in (("a", "-20 mm"), ("b", "20 mm"))
    ])  # fmt: skip
    settled = round(result.conductors["a"].temperature or 0.0)
    assert settled < 100
    words = f"50 Hz: 120 degC was stated for a, b, which settle at {settled}"
    assert words in chapter(result, "temperature").sentences
    assert result.summary.hottest is not None
    assert result.summary.hottest.stated == 120


def test_nothing_is_said_where_nothing_was_stated() -> None:
    result = solved_bars(cooling={})
    assert not any("was stated" in text for text in chapter(result, "temperature").sentences)
    assert result.summary.taken == ()


def test_water_replaces_it_too() -> None:
    warm = [tube("go", "-10 mm") | {"temperature": "90 degC"}, tube("back", "10 mm")]
    water = [{"conductors": ["go"], "flow": "4 l/min", "inlet": "20 degC"}]
    said = chapter(solved_tubes(conductor=warm, water=water), "water").sentences
    assert any(text.startswith("direct current: 90 degC was stated for go, which settles at") for text in said)
