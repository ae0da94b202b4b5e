"""Sentences and warnings of the water: each where it belongs, and only there."""

from __future__ import annotations

import pytest
from made_water import answer

from crosscurrent.postprocess.topics.water_words import mixed_metals, sentences, warnings


def test_a_flow_that_is_enough_says_so() -> None:
    said = list(sentences(answer(limits={"wall": 60.0}, needed={"wall": 5e-5})))
    assert said[0].startswith("bar at 50 Hz: 6 l/min take 3.000 kW and warm from 20 to 27.")
    assert said[1] == (
        "bar at 50 Hz: to keep the wall below 60 degC takes 3 l/min at least; 6 l/min are enough"
    )
    assert said[-1].startswith("bar: its resistivity is that of ")


@pytest.mark.parametrize(
    ("needed", "enough", "words"),
    [
        (2e-4, False, "6 l/min are not enough"),
        (None, False, "no flow within the range of the correlations keeps the wall below 60 degC"),
        (0.0, True, "any flow keeps the wall below 60 degC"),
    ],
)
def test_what_a_limit_takes_and_that_too_little_is_warned_of(needed: float | None, enough: bool, words: str) -> None:
    found = answer(limits={"wall": 60.0}, needed={"wall": needed})
    assert any(words in text for text in (sentences if enough else warnings)(found))
    assert not any(words in text for text in (warnings if enough else sentences)(found))


def test_water_that_is_cooled_gives_heat() -> None:
    said = next(iter(sentences(answer(loss=-100.0))))
    assert "6 l/min give 300.0 W and cool from 20 to 19." in said


def test_quiet_where_all_is_well() -> None:
    assert list(warnings(answer())) == []


@pytest.mark.parametrize(
    ("made", "words"),
    [
        ({"flow": 1.5e-4}, "from 2 to 3 m/s on water wears copper"),
        ({"gauge": 1.1e6}, "more than the 10 bar that"),
        ({"flow": 1e-6, "loss": 2000.0}, "the water boils away"),
        ({"flow": 1e-6, "bore": 0.9e-3, "loss": 10.0}, "dirt soon stops it"),
    ],
)
def test_each_warning_has_its_reason(made: dict[str, float], words: str) -> None:
    assert [text for text in warnings(answer(**made)) if words in text]  # type: ignore[arg-type]


def test_copper_and_aluminium_in_one_circuit() -> None:
    both = [answer(name="red"), answer(name="light", metal="aluminium-1350")]
    (said,) = mixed_metals(both)
    assert said.startswith('water touches aluminium-1350 ("light") and copper ("red")')
    assert list(mixed_metals(both[:1])) == []
