"""The table [prices]: metals by mass, in any one currency."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Annotated

import numpy as np
from pydantic import BeforeValidator, PlainSerializer

from ..entries import Kind, Sample, fault
from ..quantities import kind

PER_KILOGRAM = {"kg": 1.0, "g": 1e3, "t": 1e-3, "lb": 1 / 0.45359237, "ozt": 1 / 0.0311034768}
_PRICE = re.compile(r"([0-9]+\.?[0-9]*|\.[0-9]+) ?([^\s0-9/.,]+) ?/ ?(\w+)")
DEAREST = 1e12  # number of a price beyond which it is a slip


@dataclass(frozen=True)
class Price:
    """Of a metal by its mass; the currency is a word nobody looks into."""

    per_kg: float
    currency: str


def read_price(value: object) -> Price:
    """A price as written in a case file.

    Raises
    ------
    PydanticCustomError
        It is no price by mass.

    Examples
    --------
    >>> read_price("9800 EUR/t")
    Price(per_kg=9.8, currency='EUR')
    """
    if isinstance(value, Price):
        return value
    match = _PRICE.fullmatch(value.strip()) if isinstance(value, str) else None
    if match is None or match[3] not in PER_KILOGRAM or float(match[1]) > DEAREST:
        comma = isinstance(value, str) and re.match(r"[0-9]+,[0-9]", value)
        hint = "write a decimal point" if comma else f"per {', '.join(PER_KILOGRAM)} (ozt: troy ounce)"
        raise fault('a price by mass such as "9.8 EUR/kg"', kind(value), hint)
    return Price(float(match[1]) * PER_KILOGRAM[match[3]], match[2])


def _written(price: Price) -> str:
    return f"{np.format_float_positional(price.per_kg, trim='-')} {price.currency}/kg"


PricesTable = dict[
    str,
    Annotated[
        Price,
        BeforeValidator(read_price),
        PlainSerializer(_written, when_used="json"),
        Kind(f"a price per {', '.join(PER_KILOGRAM)} (ozt: troy ounce), in any currency"),
        Sample('"9.50 EUR/kg"', "of the metal whose name stands before it"),
    ],
]
