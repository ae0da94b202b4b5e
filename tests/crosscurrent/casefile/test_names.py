"""Which conductors a word means."""

from __future__ import annotations

from typing import Any

import pytest
from topic_cases import two_rods

from crosscurrent.casefile.case import checked_case
from crosscurrent.casefile.draft import Draft
from crosscurrent.casefile.names import Roster, UnknownName, value

ROD = {"name": "rod", "shape": "round", "diameter": "6 mm", "material": "copper"}
REPEAT = {"count": 2, "step": ["10 mm", "0 mm"]}


def test_one_copy_or_all_but_not_the_bare_name() -> None:
    rows = checked_case(two_rods()).data.conductor
    roster = Roster(rows, dict(enumerate(rows)))
    assert roster.members("rod.*") == ("rod.1", "rod.2")
    assert roster.members("rod.2") == ("rod.2",)
    for word, hint in (("rod", '"rod.1" for the first'), ("rod.3", "count = 2"), ("rodd.1", "did you mean")):
        with pytest.raises(UnknownName) as caught:
            roster.members(word)
        assert hint in caught.value.hint


def roster(*rows: dict[str, Any]) -> Roster:
    draft = Draft({"conductor": rows}, None)
    return Roster(rows, draft.conductors)


def test_one_copy_of_one() -> None:
    with pytest.raises(UnknownName) as caught:
        roster({**ROD, "repeat": {**REPEAT, "count": 1}}).members("rod.2")
    assert (caught.value.expected, caught.value.hint) == (
        '"rod.1", or "rod.*" for all', '"rod" is repeated with count = 1'
    )  # fmt: skip


def test_a_single_conductor_is_its_name() -> None:
    assert roster(ROD).members("rod") == ("rod",)
    with pytest.raises(UnknownName) as caught:
        roster(ROD).members("rod.1")
    assert caught.value.hint == '"rod" is not repeated: write "rod"'


def test_faulty_conductors_are_known_by_name() -> None:
    """Else every circuit that names one would be at fault as well."""
    assert roster(ROD | {"diameter": "x"}).members("rod") == ("rod",)
    faulty = roster(ROD | {"diameter": "x", "repeat": REPEAT})
    assert faulty.members("rod.7") == faulty.members("rod.*") == ()  # how many there are is not known
    drawn = roster({"name": "bar", "shape": "drawing", "file": "none.dxf", "material": "copper"})
    assert drawn.members("bar.1") == ()
    assert drawn.members("bar") == ("bar",)


def test_a_star_stands_for_any_letters() -> None:
    rows = [ROD | {"name": n} for n in ("go-1", "go-2", "gone", "back")]
    rows.insert(1, ROD | {"name": "go-r", "repeat": REPEAT})
    found = roster(*rows)
    assert found.members("go-*") == ("go-1", "go-r.1", "go-r.2", "go-2")  # as they stand in the file
    assert found.members("*-2") == ("go-2",)
    assert found.members("go-*.2") == ("go-r.2",)
    assert found.members("g*e") == ("gone",)
    assert len(found.members("*")) == 6
    with pytest.raises(UnknownName) as caught:
        found.members("come-*")
    assert caught.value.expected == "a word with * that fits at least one conductor"
    assert caught.value.hint == "the conductors are back, go-1, go-2, gone, go-r.*"


def test_a_star_finds_faulty_conductors_too() -> None:
    faulty = roster(ROD | {"name": "go-1"}, ROD | {"name": "go-2", "diameter": "x", "repeat": REPEAT})
    assert faulty.members("go-*") == ("go-1",)
    assert faulty.members("go-2*") == ()


def test_nothing_like_it_lists_what_there_is() -> None:
    with pytest.raises(UnknownName) as caught:
        roster(ROD, ROD | {"name": "b", "repeat": REPEAT}).members("zzz")
    assert caught.value.hint == "the conductors are rod, b.*"
    with pytest.raises(UnknownName) as caught:
        roster().members("zzz")
    assert caught.value.hint == "the conductors are none"


def test_a_key_of_a_mapping_or_of_a_model() -> None:
    model = Draft({"conductor": [ROD]}, None).conductors[0]
    assert value(ROD, "name") == value(model, "name") == "rod"
    assert value(ROD, "nam") is value(model, "nam") is value(3, "name") is None
