"""Checks of the further questions against conductors and circuits, one by one."""

from __future__ import annotations

from typing import Any

import pytest

from crosscurrent.casefile import topic_checks
from crosscurrent.casefile.draft import Draft
from crosscurrent.casefile.faults import Fault

SOLID = {"name": "solid", "shape": "round", "diameter": "6 mm", "material": "copper"}
TUBE = {"name": "tube", "shape": "tube", "diameter": "6 mm", "wall": "1 mm", "material": "copper"}
FEEDS = [{"name": "feed", "current": "1 A", "out": ["tube"]}, {"name": "other", "current": "1 A", "out": ["solid"]}]


def draft(**tables: Any) -> Draft:
    return Draft({"conductor": [SOLID, TUBE], "circuit": FEEDS[:1], "length": "2 m"} | tables, None)


def words(found: Any) -> list[tuple[str, str]]:
    """What was expected and found."""
    faults: list[Fault] = list(found)
    return [(fault.expected, fault.found) for fault in faults]


def test_water_runs_in_bores_once_over_a_length() -> None:
    assert words(topic_checks.waters(draft(water=[{"conductors": ["tube"]}]))) == []
    twice = [{"conductors": ["tube", "solid", "tub"]}, {"conductors": ["tube"]}]
    assert words(topic_checks.waters(draft(water=twice))) == [
        ("a conductor with a bore", '"solid", which is solid'),
        ("the name of a conductor", '"tub"'),
        ("each conductor once", '"tube" a second time'),
    ]


def test_water_without_a_length() -> None:
    written = {key: table for key, table in draft(water=[{"conductors": ["tube"]}]).data.items() if key != "length"}
    assert words(topic_checks.waters(Draft(written, None))) == [("the length of the run, which water needs", "none")]


@pytest.mark.parametrize("conductors", [3, "tube", None, [3]])
def test_water_that_names_nothing_readable_is_left_to_the_models(conductors: object) -> None:
    assert words(topic_checks.waters(draft(water=[{"conductors": conductors}]))) == []


def test_joints_belong_to_circuits() -> None:
    rows = [{"circuit": "feed"}, {"circuit": "fed"}, {"circuit": 3}]
    (fault,) = topic_checks.joints(draft(joint=rows))
    assert (fault.found, fault.hint) == ('"fed"', 'did you mean "feed"?')
    (fault,) = topic_checks.joints(draft(joint=[{"circuit": "zz"}], circuit=[]))
    assert fault.hint == "the circuits are none"


@pytest.mark.parametrize(
    ("tables", "key", "hint"),
    [
        ({"cooling": {}, "ambient": "900 degC"}, "ambient", "state the temperature of the air"),
        ({"cooling": {"temperature_limit": "30 degC"}, "ambient": "40 degC"}, "temperature_limit",
         "nothing gets colder than the air"),
        ({"cooling": {"temperature_limit": "3000 degC"}}, "temperature_limit", "metal data are trusted no further"),
        ({"duty": [{"off": "1 min"}]}, "off", "add a table [cooling]"),
    ],
)  # fmt: skip
def test_air_limits_and_duties(tables: dict[str, Any], key: str, hint: str) -> None:
    (fault,) = topic_checks.warmth(draft(**tables))
    assert fault.key == key
    assert fault.hint.startswith(hint)


@pytest.mark.parametrize(
    "tables",
    [
        {}, {"cooling": {"temperature_limit": "90 degC"}}, {"cooling": {"temperature_limit": "no"}},
        {"cooling": {}, "duty": [{"off": "1 min"}]}, {"cooling": {}, "ambient": "warm"}, {"duty": [{"on": "1 s"}]},
    ],
)  # fmt: skip
def test_air_that_is_cold_enough_or_at_fault_otherwise(tables: dict[str, Any]) -> None:
    assert list(topic_checks.warmth(draft(**tables))) == []


def test_prices_of_known_metals_in_one_currency() -> None:
    assert words(topic_checks.prices(draft(prices={"copper": "9 EUR/kg", "tin": "3 EUR/lb"}))) == []
    found = list(topic_checks.prices(draft(prices={"coper": "9 EUR/kg", "tin": "3 USD/kg", "lead": "cheap"})))
    assert [fault.found for fault in found[:-1]] == ['"coper"']  # what is no price is said by its own entry
    assert found[0].hint == 'did you mean "copper"?'
    assert (found[-1].expected, found[-1].found) == ("all prices in one currency", "EUR and USD")
    assert list(topic_checks.prices(draft(prices=3))) == []


def test_limits_and_supports_speak_of_what_there_is() -> None:
    tables = {"limits": {"insulated": ["tube"], "touchable": ["tub", 3]}, "supports": {"circuit": "fed"}}
    found = list(topic_checks.limited(draft(**tables)))
    assert [(fault.place, fault.key, fault.found) for fault in found] == [
        ("limits", "touchable 1", '"tub"'), ("supports", "circuit", '"fed"'),
    ]  # fmt: skip
    assert list(topic_checks.limited(draft(limits=3, supports=[3]))) == []


@pytest.mark.parametrize("table", topic_checks.TABLES)
def test_currents_of_a_fault_or_waveform_name_their_circuits(table: str) -> None:
    def found(circuit: object, circuits: list[Any] = FEEDS) -> list[tuple[str, str]]:
        written = {} if circuit is None else {"circuit": circuit}
        return words(topic_checks.drives(draft(circuit=circuits, **{table: written})))

    assert found(None, FEEDS[:1]) == found("feed") == found(["feed", "other"]) == found(None, []) == []
    assert found(None) == [("the circuits that carry the current", "none")]
    assert found("fed") == [("the name of a circuit", '"fed"')]
    assert found(["feed", "zz", "feed"]) == [
        ("the name of a circuit", '"zz"'), ("each circuit once", '"feed" a second time'),
    ]  # fmt: skip
