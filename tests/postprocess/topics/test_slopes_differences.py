"""Words and tables of slopes by differences, of answers made by hand."""

from __future__ import annotations

from crosscurrent.postprocess.topics.slopes_differences import (
    DifferencesAnswer,
    FigureSlope,
    record,
    sentences,
    tables,
)

THICKNESS = FigureSlope("bar.thickness", 0.005, "m", "hottest conductor", "", 50.0, "degC", 90.0, -4000.0, 40.0)
CURRENT = FigureSlope("feed.current", 400.0, "A", "hottest conductor", "", 50.0, "degC", 90.0, 0.1, 0.001)
FORCE = FigureSlope("feed.current", 400.0, "A", "peak force", "bar", 50.0, "N/m", 2.0, 0.01, 0.1)
GAP = FigureSlope("gap", 0.01, "m", "peak force", "bar", 50.0, "N/m", 2.0, -100.0, 1.0)
ANSWER = DifferencesAnswer([THICKNESS, CURRENT, FORCE, GAP], {"gap": "parts overlap"}, 0.02)


def test_a_table_for_each_figure_most_first() -> None:
    warm, force = tables(ANSWER)
    assert warm.rows == (
        ("feed.current", "+0.4 K", "-", "1 %"),
        ("bar.thickness", "-0.2 K", "-4 K", "1 %"),
    )
    assert force.heading == "Peak force of bar by differences, 50 Hz"
    assert [row[0] for row in force.rows] == ["gap"]  # that of the current is below its own error


def test_it_is_said_that_these_are_differences() -> None:
    *_, how, last = sentences(ANSWER)
    assert how.startswith("by differences: each figure 2 % less and more, solved anew")
    assert last == "gap has none: a little more or less of it makes no sound case (parts overlap)"
    assert record(ANSWER)["method"] == "central differences"


def test_what_matters_most_comes_first() -> None:
    warm, force, *_ = sentences(ANSWER)
    assert warm == (
        "at 50 Hz, one per cent more of each changes the hottest conductor by differences by: "
        "feed.current +0.4 K (+- 1 %), bar.thickness -0.2 K (+- 1 %)"
    )
    assert force == (
        "at 50 Hz, one per cent more of each changes the peak force by differences by: "
        "gap -10.0 mN/m of bar (+- 1 %)"
    )
