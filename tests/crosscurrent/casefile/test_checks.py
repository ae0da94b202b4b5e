"""Checks over several tables, one by one: what each lets pass and what each says."""

from __future__ import annotations

from typing import Any

import pytest

from crosscurrent.casefile import checks
from crosscurrent.casefile.case import checked_case
from crosscurrent.casefile.draft import Draft
from crosscurrent.casefile.faults import CaseError, Fault
from crosscurrent.geometries.errors import GeometryError, GeometryFault


def rod(name: str = "a", x: str = "0 mm", **more: Any) -> dict[str, Any]:
    return {
        "name": name, "shape": "round", "diameter": "6 mm", "material": "copper", "centre": [x, "0 mm"]
    } | more  # fmt: skip


def feed(**more: Any) -> dict[str, Any]:
    return {"name": "feed", "current": "1 A", "out": ["a"], "back": ["b"]} | more


def draft(*conductors: dict[str, Any], **tables: Any) -> Draft:
    """A sound pair, or other conductors and tables."""
    pair = (rod("a"), rod("b", "10 mm"))
    return Draft({"conductor": list(conductors or pair), "circuit": [feed()]} | tables, None)


def one(found: list[Fault]) -> Fault:
    (fault,) = found
    return fault


def test_a_sound_pair_has_no_fault() -> None:
    assert checks.faults(draft()) == []
    assert checks.shape_faults(draft()) == []
    assert checks.section_faults(draft()) == []


@pytest.mark.parametrize("table", ["conductor", "circuit", "joint", "duty"])
def test_a_name_a_second_time(table: str) -> None:
    found = list(checks._twice(Draft({table: [{"name": "x"}, {"name": "y"}, {"name": "x"}, {"name": 3}]}, None)))
    assert (one(found).found, one(found).expected) == ('"x" a second time', f"a name of its own for every {table}")


def test_metals_of_conductors_coats_and_pieces_are_known() -> None:
    coats = [{"material": "silver", "thickness": "1 um"}, {"material": "silvr", "thickness": "1 um"}]
    found = list(checks._unknown_metals(draft(rod(plating=coats), rod("b", "10 mm", material="qx"))))
    assert [(fault.key, fault.found) for fault in found] == [("plating 2 material", '"silvr"'), ("material", '"qx"')]
    assert found[0].hint == 'did you mean "silver"?'
    assert found[1].hint.startswith("built in are copper, ")
    own = draft(rod(material="qx"), material={"qx": {"conductivity": "1 MS/m"}})
    assert list(checks._unknown_metals(own)) == []


def test_dimensions_that_make_no_shape() -> None:
    tube = rod(shape="tube", wall="3 mm")
    fault = one(checks.shape_faults(draft(tube)))
    assert fault.expected == "dimensions that make a tube"
    assert fault.hint == 'use shape "round" for a solid conductor'


def test_a_piece_with_a_key_that_is_not_its_own() -> None:
    piece = {"shape": "round", "diameter": "2 mm", "wall": "1 mm", "material": "tin"}
    fault = one(checks.shape_faults(draft(rod(clad=[piece]))))
    assert fault.key == "clad 1 wall"
    assert fault.hint == "a round takes diameter"


@pytest.mark.parametrize(
    ("metal", "temperature", "expected"),
    [
        ({"conductivity": "10 MS/m", "temperature_coefficient": "0.01 /K"}, "-80 degC", "above -80 degC, where the"),
        ({"conductivity": "10 MS/m", "temperature_coefficient": "-0.01 /K"}, "120 degC", "below 120 degC, where the"),
    ],
)
def test_a_temperature_a_metal_does_not_bear(metal: dict[str, str], temperature: str, expected: str) -> None:
    """From 20 degC, a coefficient of 1 % per kelvin leaves nothing after 100 K."""
    written = draft(rod(material="my", temperature=temperature), material={"my": metal})
    assert one(list(checks._temperatures(written))).expected.startswith(f"a temperature {expected}")


def test_a_metal_that_melts() -> None:
    """Tin melts at 231.9 degC."""
    fault = one(list(checks._temperatures(draft(rod(material="tin", temperature="240 degC")))))
    assert fault.expected.startswith("a temperature below 23")
    assert (fault.key, fault.found) == ("temperature", "240 degC")
    assert list(checks._temperatures(draft(rod(material="tin", temperature="230 degC")))) == []


def test_iron_beyond_its_curie_point_is_told_what_to_write() -> None:
    fault = one(list(checks._temperatures(draft(rod(material="steel"), ambient="800 degC"))))
    assert (fault.key, fault.found) == ("ambient", "800 degC")
    assert "permeability = 1" in fault.hint


@pytest.mark.parametrize(
    ("magnetic", "expected"),
    [({"permeability": 100}, ["a temperature below 358 degC, where the my of \"a\" stops being magnetic"]),
     ({"initial_permeability": 100, "saturation": "0.6 T"}, [])],
)  # fmt: skip
def test_beyond_a_curie_temperature_of_its_own_a_curve_counts_as_air(
    magnetic: dict[str, Any], expected: list[str]
) -> None:
    metal = {"my": {"conductivity": "14 MS/m", "curie_temperature": "358 degC"} | magnetic}
    found = checks._temperatures(draft(rod("a", material="my", temperature="400 degC"), material=metal))
    assert [fault.expected for fault in found] == expected


def test_an_ambient_at_fault_counts_as_20_degc() -> None:
    assert list(checks._temperatures(draft(ambient="warm"))) == []


@pytest.mark.parametrize(
    ("circuits", "expected", "found"),
    [
        ([feed(out=["d"])], "the name of a conductor", '"d"'),
        ([feed(out=["a", "a"])], "each conductor once", '"a" a second time'),
        ([feed(back=["a"])], "a conductor that carries the current either out or back", '"a", which is in out too'),
        ([feed(), feed(name="x", out=["b", "c"], back=[])], "conductors that are joined alike in every circuit",
         'b alone in back of "feed", but b joined with c here'),
        ([feed(back=["b", "c"]), feed(name="x", out=["b", "c"], back=[], sharing="equal")],
         "one sharing for b joined with c", '"free" in back of "feed", but "equal" here'),
    ],
)  # fmt: skip
def test_conductors_of_circuits(circuits: list[Any], expected: str, found: str) -> None:
    rods = (rod("a"), rod("b", "10 mm"), rod("c", "20 mm"))
    fault = one(list(checks._circuits(draft(*rods, circuit=circuits))))
    assert (fault.expected, fault.found) == (expected, found)


def test_circuits_may_share_a_side() -> None:
    circuits = [feed(), feed(name="x", out=["b"], back=["c"]), feed(name="y", out=["c"], back=["b"])]
    assert checks.faults(draft(rod("a"), rod("b", "10 mm"), rod("c", "20 mm"), circuit=circuits)) == []


NONE = "at least one circuit that feeds a current", "none"
ZERO = "a current above 0 A in at least one circuit", '0 A in "feed"'


@pytest.mark.parametrize(("circuit", "expected"), [(None, NONE), ([], NONE), ([feed(current="0 A")], ZERO)])
def test_a_section_without_current(circuit: list[Any] | None, expected: tuple[str, str]) -> None:
    written = draft(circuit=circuit)
    data = {key: table for key, table in written.data.items() if table is not None}
    fault = one(list(checks._currents(Draft(data, None))))
    assert (fault.expected, fault.found) == expected


@pytest.mark.parametrize("data", [{"circut": []}, {"circuit": {"name": "x"}}, {"circuit": [feed(), {"name": "x"}]}])
def test_what_is_reported_otherwise_is_not_reported_twice(data: dict[str, Any]) -> None:
    assert list(checks._currents(Draft(data, None))) == []


def test_conductors_that_overlap_are_named() -> None:
    fault = one(checks.section_faults(draft(rod("a"), rod("b", "5 mm"))))
    assert fault.expected == "a section that can be built"
    assert 'conductors "a" and "b" overlap' in fault.found


def test_faults_beyond_those_listed_are_counted() -> None:
    def build() -> None:
        raise GeometryError(GeometryFault("it is wrong", "mend it", (("a", 0),)), more=3)

    found = checks.section_faults(draft(), build)
    assert [fault.found for fault in found] == ["that it is wrong", "3 more like these"]


def test_copies_that_overlap_alike_are_told_once() -> None:
    row = {"name": "rod", "shape": "round", "diameter": "10 mm", "material": "copper"}
    row["repeat"] = {"count": 6, "step": ["0 mm", "5 mm"]}  # type: ignore[assignment]
    circuit = {"name": "feed", "current": "1 A", "out": ["rod.*"]}
    with pytest.raises(CaseError) as caught:
        checked_case({"frequency": {"at": ["50 Hz"]}, "conductor": [row], "circuit": [circuit]})
    assert [fault.found.partition("near")[0][:34] for fault in caught.value.faults] == [
        'that conductors "rod.1" and "rod.2', 'that conductors "rod.1" and "rod.3'
    ]  # fmt: skip
    assert caught.value.faults[0].found.endswith(", and 4 more alike")
    assert caught.value.faults[1].found.endswith(", and 3 more alike")


@pytest.mark.parametrize("word", ["axal", 3])
def test_a_misspelt_symmetry_is_one_fault(word: object) -> None:
    rod = {"name": "rod", "shape": "round", "diameter": "10 mm", "centre": ["30 mm", "0 mm"], "material": "copper"}
    tables = {"symmetry": word, "coil": [{"name": "work", "turns": ["rod"], "current": "1 A"}], "tank": {}}
    with pytest.raises(CaseError) as caught:
        checked_case({"frequency": {"at": ["1 kHz"]}, "conductor": [rod], **tables})
    assert [fault.key for fault in caught.value.faults] == ["symmetry"]
