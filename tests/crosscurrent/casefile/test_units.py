"""The table of units: what each is worth, that each can be read, and what the messages show."""

from __future__ import annotations

from typing import Any

import pint
import pytest

from crosscurrent.casefile import quantities
from crosscurrent.casefile.quantities import parse
from crosscurrent.casefile.units import DIMENSIONS, TRAPS


def test_every_unit_is_worth_what_the_full_registry_of_the_library_says() -> None:
    """Ours holds the units of the list alone: it is read in a hundredth of a second instead of a quarter."""
    full: Any = pint.UnitRegistry()
    full.define("percent_IACS = 0.58e6 * siemens / meter")  # IEC 60028
    for dimension, wanted in DIMENSIONS.items():
        for written, unit in wanted.units.items():
            if "gauss" in unit:
                continue  # belongs to another system of units there
            value = quantities._convert(3.7, unit, wanted.si)
            assert value == pytest.approx(full.Quantity(3.7, unit).to(wanted.si).magnitude, rel=1e-12), written
            assert dimension


@pytest.mark.parametrize("dimension", sorted(DIMENSIONS))
def test_examples_in_messages_are_valid(dimension: str) -> None:
    for example in DIMENSIONS[dimension].examples.split(" or "):
        parse(example.strip('"'), dimension)


def test_every_unit_of_every_dimension_is_read_as_written() -> None:
    """With and without a space; "0.1 1/K" alone needs its space."""
    for dimension, wanted in DIMENSIONS.items():
        for unit, words in wanted.units.items():
            value = 0.75 * parse(wanted.high, dimension)
            number = quantities._convert(value, wanted.si, words)
            for space in ("", " ")[unit.startswith("1") :]:
                text = f"{number!r}{space}{unit}"
                assert parse(text, dimension) == pytest.approx(value, rel=1e-12), text


def test_every_quantity_is_written_in_a_unit_of_its_list_and_reads_back() -> None:
    for dimension, wanted in DIMENSIONS.items():
        low, high = parse(wanted.low, dimension), parse(wanted.high, dimension)
        for value in (low, high, (low + high) / 2, 0.3 * high):
            text = quantities.write_quantity(value, dimension)
            assert text.split(" ", 1)[1] in wanted.units
            assert parse(text, dimension) == value


@pytest.mark.parametrize("word", sorted(TRAPS))
def test_a_trap_is_no_unit_of_ours_and_has_a_way_out(word: str) -> None:
    assert all(word not in wanted.units for wanted in DIMENSIONS.values())
    assert TRAPS[word].format(n="3")


def test_examples_and_ranges_are_in_units_of_the_list() -> None:
    for wanted in DIMENSIONS.values():
        for text in (wanted.low, wanted.high):
            assert text.split(" ", 1)[1] in wanted.units

