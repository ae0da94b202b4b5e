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


def test_turns_are_told_together() -> None:
    """Each turn of a coil settles a little warmer than the one before: one sentence, not one of each temperature."""
    turns = [tube("turn", "20 mm") | {"temperature": "90 degC", "repeat": {"count": 6, "step": ["20 mm", "0 mm"]}}]
    feed = {"name": "feed", "current": "900 A", "out": ["turn.1", "turn.2", "turn.3"],
            "back": ["turn.4", "turn.5", "turn.6"]}  # fmt: skip
    water = [{"conductors": ["turn.*"], "flow": "1 l/min", "inlet": "20 degC"}]
    result = solved_tubes(conductor=turns, circuit=[feed], water=water)
    said = chapter(result, "water").sentences
    warm = sorted(c.temperature or 0.0 for c in result.conductors.values())
    band = f"{warm[0]:.0f} to {warm[-1]:.0f}"
    assert f"direct current: 90 degC was stated for turn.1 to turn.6 (6), which settle at {band}" in said
    (metals,) = (text for text in said if "resistivity" in text)
    assert metals.startswith("turn.1 to turn.6 (6): the resistivity of each is that of the mean of its metal")
    assert metals.endswith(f"{band} degC")


def test_nothing_is_said_where_nothing_was_stated() -> None:
    result = solved_bars(cooling={})
    assert not any("was stated" in text for text in chapter(result, "temperature").sentences)
    assert result.summary.taken == ()


def test_water_replaces_it_too() -> None:
    warm = [tube("go", "-10 mm") | {"temperature": "90 degC"}, tube("back", "10 mm")]
    water = [{"conductors": ["go"], "flow": "4 l/min", "inlet": "20 degC"}]
    said = chapter(solved_tubes(conductor=warm, water=water), "water").sentences
    assert any(text.startswith("direct current: 90 degC was stated for go, which settles at") for text in said)
