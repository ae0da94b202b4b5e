"""The words of steel at its field strength."""

from __future__ import annotations

from dataclasses import replace

from crosscurrent.postprocess.topics.steel import SteelAnswer, SteelCircuit, record, sentences, tables, warnings

FOUND = SteelAnswer("sheet", 50.0, 40.0, None, 2e3, 300.0, 400.0, 1500.4, 1000.0, 12.0, 0.02, 20.0, 5)


def test_the_strongest_field_is_told_once_for_each_frequency() -> None:
    weaker = SteelAnswer("lid", 50.0, 40.0, None, 1e3, 300.0, 400.0, 500.0, 1000.0, 1.0, 0.02, 2.0, 5)
    told = list(sentences((FOUND, weaker)))
    assert told[0].startswith("sheet at 50 Hz: H exceeds 2.00 kA/m (crest)")
    assert "effective permeability 300 to 1500" in told[0]
    assert not any(text.startswith("lid") for text in told)
    (first, _) = tables((FOUND, weaker), ())
    assert [row[0] for row in first.rows] == ["sheet", "lid"]
    assert list(warnings((FOUND, weaker))) == []


def test_beyond_the_fields_that_were_tried_there_is_a_warning() -> None:
    strong = [SteelAnswer("sheet", f, 40.0, None, h) for f, h in ((50.0, 2e5), (60.0, 3e5))]
    (text,) = warnings(strong)
    assert text.startswith('60 Hz: H in "sheet" exceeds 300 kA/m')


def test_above_the_curie_temperature_nothing_else_is_said() -> None:
    hot = SteelAnswer("sheet", 50.0, 800.0, 770.0)
    assert len(list(sentences((hot,)))) == 1
    assert list(tables((hot,), ())) == []
    assert record((hot,), ())["conductors"][0]["counts_as_air"]  # type: ignore[index,call-overload]


def test_the_steels_part_of_a_bar_stands_apart_from_the_computings() -> None:
    """Of 2 %, 1.7 % are the model's."""
    known = replace(FOUND, band=0.017)
    assert "of its bar 2 % are the model of the steel, 0.3 % the computing" in next(iter(sentences((known,))))
    circuit = SteelCircuit("feed", 50.0, 1.0, 0.03, 1.1, 1e-6, 0.04, 1.1e-6, 0.025, 0.035)
    (row,) = record((known,), (circuit,))["circuits"]  # type: ignore[misc]
    assert (row["resistance_error_of_steel"], row["inductance_error_of_steel"]) == (0.025, 0.035)
    assert record((known,), ())["conductors"][0]["loss_error_of_steel"] == 0.017  # type: ignore[index,call-overload]
    assert next(iter(sentences((FOUND,)))).endswith("20.00 W/m")
