"""Kinds of fields: every quantity in its range, every bare number in its, names, and what is said beyond them."""

from __future__ import annotations

from typing import Annotated, Any, get_args

import pytest
from pydantic import TypeAdapter, ValidationError

from crosscurrent.casefile import entries
from crosscurrent.casefile.named import AXIAL
from crosscurrent.casefile.quantities import parse
from crosscurrent.casefile.units import DIMENSIONS

QUANTITIES = {
    metadata.dimension: name
    for name, kind in vars(entries).items()
    for metadata in get_args(kind)[1:]
    if isinstance(metadata, entries.Quantity)
}
IN_TOTAL = {"power": "Loss", "resistance of a coil": "Resistance", "inductance": "Inductance", "force": "Force"}
NUMBERS: list[tuple[str, float, float]] = [
    ("Permeability", 1e-6, 5000), ("Emissivity", 0.01, 1), ("Bulge", -100, 100), ("Scale", 1e-6, 1e6),
    ("ReactanceRatio", 0.01, 1000), ("Quality", 1, 1e5), ("Permittivity", 1, 1e4), ("Bends", 0, 10000),
    ("Count", 1, 1000), ("Copies", 1, 1000), ("Points", 2, 10000), ("StrandCount", 2, 100_000),
    ("TakeUp", 1, 1.5),
]  # fmt: skip
WHOLE = ("Bends", "Count", "Copies", "Points", "StrandCount")


def adapter(name: str) -> TypeAdapter[Any]:
    return TypeAdapter(getattr(entries, name))


def refused(name: str, value: object) -> dict[str, str]:
    """The context of the one fault: what was expected and found, and a hint."""
    with pytest.raises(ValidationError) as caught:
        adapter(name).validate_python(value)
    (one,) = caught.value.errors()
    assert one["type"] == "fault"
    return one["ctx"]


def test_every_dimension_has_its_kind_of_field() -> None:
    assert QUANTITIES.keys() | IN_TOTAL.keys() == DIMENSIONS.keys()


@pytest.mark.parametrize(("dimension", "name"), IN_TOTAL.items())
def test_a_figure_per_metre_is_one_in_total_round_an_axis(dimension: str, name: str) -> None:
    kind, wanted, there = adapter(name), DIMENSIONS[dimension], {AXIAL: True}
    for text in (wanted.low, wanted.high):
        value = kind.validate_python(text, context=there)
        again = kind.validate_json(kind.dump_json(value), context=there)
        assert again == pytest.approx(value, rel=1e-15) == parse(text, dimension)
        with pytest.raises(ValidationError):
            kind.validate_python(text)
    with pytest.raises(ValidationError):
        kind.validate_python(DIMENSIONS[adapter_dimension(name)].high, context=there)


def adapter_dimension(name: str) -> str:
    return next(dimension for dimension, own in QUANTITIES.items() if own == name)


@pytest.mark.parametrize("dimension", sorted(QUANTITIES))
def test_a_quantity_is_read_within_its_range_and_written_back(dimension: str) -> None:
    kind, wanted = adapter(QUANTITIES[dimension]), DIMENSIONS[dimension]
    for text in (wanted.low, wanted.high):
        value = kind.validate_python(text)
        assert kind.validate_json(kind.dump_json(value)) == pytest.approx(value, rel=1e-15, abs=1e-13)
        assert isinstance(kind.dump_python(value, mode="json"), str)
        assert kind.dump_python(value) == value


@pytest.mark.parametrize("dimension", sorted(QUANTITIES))
def test_a_quantity_beyond_its_range_is_refused_with_the_range(dimension: str) -> None:
    wanted = DIMENSIONS[dimension]
    number, unit = wanted.high.split()
    context = refused(QUANTITIES[dimension], f"{2 * float(number)!r} {unit}")
    assert context["expected"] == (
        f"{wanted.noun}, {'0 or ' if wanted.zero else ''}from {wanted.low} to {wanted.high}"
    )


@pytest.mark.parametrize("dimension", sorted(d for d in QUANTITIES if not DIMENSIONS[d].low.startswith("-")))
def test_zero_only_where_it_is_allowed(dimension: str) -> None:
    wanted = DIMENSIONS[dimension]
    zero = f"0 {next(iter(wanted.units))}"
    if wanted.zero or wanted.low.startswith("0 "):
        assert adapter(QUANTITIES[dimension]).validate_python(zero) == 0
    else:
        assert wanted.low in refused(QUANTITIES[dimension], zero)["expected"]


@pytest.mark.parametrize(("name", "low", "high"), NUMBERS)
def test_a_bare_number_within_its_limits(name: str, low: float, high: float) -> None:
    kind = adapter(name)
    assert (kind.validate_python(low), kind.validate_python(high)) == (low, high)
    step = 1 if name in WHOLE else 1e-9
    for value in (low - step, high + 1, True, None, "3", [3], float("nan")):
        assert refused(name, value)["expected"]
    assert refused(name, "3")["hint"] == "write it without quotes"
    if name in WHOLE:
        assert refused(name, 3.0)["found"] == "the number 3.0"


def test_a_single_copy_needs_no_repeat() -> None:
    assert refused("Copies", 0)["hint"] == "leave repeat out for a single one"


@pytest.mark.parametrize("name", ["outgoing", "phase a", "L1-2", "\u00fc"])
def test_names(name: str) -> None:
    assert adapter("Name").validate_python(name) == name


@pytest.mark.parametrize(
    ("name", "expected", "hint"),
    [
        ("", "a name of letters or digits", "give it one"),
        ("  ", "a name of letters or digits", "give it one"),
        (" a", "neither begins nor ends with a space", 'write "a"'),
        ("a ", "neither begins nor ends with a space", 'write "a"'),
        ("a.1", "a name without .", "leave out '.'"),
        ("a/b", "a name without .", "leave out '/'"),
        ("a*", "a name without .", "leave out '*'"),
        ("a\nb", "a name without .", r"leave out '\n'"),
    ],
)
def test_names_that_cannot_be(name: str, expected: str, hint: str) -> None:
    context = refused("Name", name)
    assert expected in context["expected"]
    assert context["hint"] == hint


def test_units_of_a_file() -> None:
    assert adapter("Unit").validate_python("thou") == "thou"
    assert refused("Unit", "mil")["hint"].startswith('a "mil" is a thousandth of an inch to some')
    assert refused("Unit", "furlong")["found"] == '"furlong"'


def test_a_region_may_be_a_number() -> None:
    kind = adapter("RegionName")
    assert (kind.validate_python(3), kind.validate_python("3")) == ("3", "3")
    with pytest.raises(ValidationError):
        kind.validate_python(True)


def test_one_circuit_may_be_named_without_a_list() -> None:
    kind = adapter("CircuitNames")
    assert (kind.validate_python("feed"), kind.validate_python(["a", "b"])) == (("feed",), ("a", "b"))


def test_an_empty_list_is_a_fault_with_its_hint() -> None:
    kind: TypeAdapter[Any] = TypeAdapter(Annotated[entries.Names, entries.some("name one")])
    with pytest.raises(ValidationError) as caught:
        kind.validate_python([])
    assert caught.value.errors()[0]["ctx"] == {
        "expected": "at least one conductor", "found": "an empty list", "hint": "name one",
    }  # fmt: skip
