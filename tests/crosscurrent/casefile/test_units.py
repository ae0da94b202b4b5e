"""The table of units: what each is worth, that each can be read, and what the messages show."""

from __future__ import annotations

import re
from typing import Any

import pint
import pytest

from crosscurrent.casefile import quantities
from crosscurrent.casefile.quantities import parse
from crosscurrent.casefile.units import DIMENSIONS, TRAPS

# as that library writes them
WORDS = {
    "%IACS": "percent_IACS",
    "gpm": "gallon/min",
    "kvar": "kVA",
    "var": "VA",
    "Mvar": "MVA",
    "G": "1e-4 T",
    "mG": "1e-7 T",
    "/degC": "1/K",
    "1/degC": "1/K",
    "ppm/degC": "ppm/K",
    "W/m*K": "W/m/K",
    "J/kg*K": "J/kg/K",
    "W/m2*K": "W/m**2/K",
}
OFFSET = ("degC", "degF")


def test_every_unit_is_worth_what_a_general_library_of_units_says() -> None:
    full: Any = pint.UnitRegistry()
    full.define("percent_IACS = 0.58e6 * siemens / meter")  # IEC 60028
    for dimension, wanted in DIMENSIONS.items():
        for written in wanted.units:
            there = full.Quantity(3.7, written) if written in OFFSET else 3.7 * full(_words(written))
            same = pytest.approx(there.to(wanted.si).magnitude, rel=1e-13, abs=1e-12 * (dimension == "temperature"))
            assert wanted.to_si(3.7, written) == same, (dimension, written)


def _words(unit: str) -> str:
    """A unit of ours as that library reads it: it takes "mm2" for a name."""
    raised = re.sub(r"(?<=[a-z])([23])", r"**\1", unit)
    return WORDS.get(unit, f"1{raised}" if raised.startswith("/") else raised.replace("%", "percent"))


@pytest.mark.parametrize("dimension", sorted(DIMENSIONS))
def test_examples_in_messages_are_valid(dimension: str) -> None:
    for example in DIMENSIONS[dimension].examples.split(" or "):
        parse(example.strip('"'), dimension)


def test_every_unit_of_every_dimension_is_read_as_written() -> None:
    """With and without a space; "0.1 1/K" alone needs its space."""
    for dimension, wanted in DIMENSIONS.items():
        for unit in wanted.units:
            value = 0.75 * parse(wanted.high, dimension)
            number = wanted.of_si(value, unit)
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

