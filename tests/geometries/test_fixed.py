"""A mapping for reading only: never changed, equal by what it holds, the same after a pickle."""

from __future__ import annotations

import copy
import pickle
from collections.abc import Mapping
from typing import Any

import pytest

from crosscurrent.geometries.fixed import Fixed

FOUND: Fixed[str, float] = Fixed({"feed": 1.0, "back": 2.0})


def test_it_reads_as_a_mapping_in_its_order() -> None:
    assert isinstance(FOUND, Mapping)
    assert (len(FOUND), list(FOUND), FOUND["back"], FOUND.get("none")) == (2, ["feed", "back"], 2.0, None)
    assert "feed" in FOUND
    assert dict(FOUND) == {"feed": 1.0, "back": 2.0}
    with pytest.raises(KeyError):
        FOUND["none"]


def test_nothing_can_be_changed() -> None:
    anything: Any = FOUND
    with pytest.raises(TypeError):
        anything["feed"] = 3.0
    with pytest.raises(TypeError):
        del anything["feed"]
    for verb in ("pop", "update", "clear", "setdefault"):
        assert not hasattr(FOUND, verb)
    with pytest.raises(AttributeError):
        anything.other = 1


def test_it_keeps_a_copy_of_what_it_was_given() -> None:
    held = {"feed": 1.0}
    found = Fixed(held)
    held["feed"] = 5.0
    assert found["feed"] == 1.0


def test_equal_by_what_it_holds_and_to_any_mapping() -> None:
    assert FOUND == Fixed({"back": 2.0, "feed": 1.0}) == {"feed": 1.0, "back": 2.0}
    assert Fixed({"feed": 1.0}) != FOUND


def test_a_short_name_has_plain_values_and_of_whole_objects_the_keys() -> None:
    assert repr(FOUND) == "{'feed': 1.0, 'back': 2.0}"
    assert repr(Fixed({"metal": "copper", "slopes": Fixed({"gap": 2}), "answers": [1.0] * 1000})) == (
        "{'metal': 'copper', 'slopes': {'gap': 2}, 'answers'}"
    )
    assert repr(Fixed({})) == "{}"


@pytest.mark.parametrize("protocol", range(2, pickle.HIGHEST_PROTOCOL + 1))
def test_the_same_after_a_pickle(protocol: int) -> None:
    again = pickle.loads(pickle.dumps(FOUND, protocol))
    assert type(again) is Fixed
    assert again == FOUND
    assert list(again) == list(FOUND)
    assert copy.deepcopy(FOUND) == FOUND
