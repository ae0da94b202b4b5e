"""The file of a sweep, and how its frequencies were solved."""

from __future__ import annotations

from types import SimpleNamespace

from topic_answers import circuit

from crosscurrent.postprocess.topics.sweep import SweepAnswer, record, sentences, sweep_csv

ROD = SimpleNamespace(name="rod", loss=1.5, loss_error=0.25)
POINTS = [
    SimpleNamespace(frequency=f, circuits={"feed": circuit()}, conductors={"rod": ROD}, bundles={})
    for f in (50.0, 60.0)
]


def test_the_file_has_a_row_for_each_frequency() -> None:
    head, *rows = sweep_csv(POINTS).splitlines()
    assert head.split(",")[:3] == ["frequency_hz", "feed: resistance_ohm_per_m", "feed: resistance_error"]
    assert rows == [f"{f},0.001,0.0001,1e-06,0.0001,1.0,0.001,0.0001,1.5,0.25" for f in (50.0, 60.0)]


def test_how_it_was_solved() -> None:
    assert list(sentences(SweepAnswer(POINTS, ()))) == ["2 frequencies, solved one by one"]
    assert "reduced model, certified" in next(sentences(SweepAnswer(POINTS, (), 12)))
    assert record(SweepAnswer(POINTS, (), 12)) == {
        "points": 2, "from_hz": 50.0, "to_hz": 60.0, "reduced_model": True, "modes": 12, "circuits": [],
    }  # fmt: skip
