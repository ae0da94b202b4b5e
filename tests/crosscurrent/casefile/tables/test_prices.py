"""Prices as they are written."""

from __future__ import annotations

import pytest

from crosscurrent.casefile.tables.prices import Price, read_price


@pytest.mark.parametrize(
    ("text", "price"),
    [
        ("9.8 EUR/kg", Price(9.8, "EUR")),
        ("9800 EUR/t", Price(9.8, "EUR")),
        ("$31.10 / ozt", Price(0.0, "")),
        ("31.1034768 USD/ozt", Price(1000.0, "USD")),
        ("4.5359237 \u00a3/lb", Price(10.0, "\u00a3")),
    ],
)
def test_prices(text: str, price: Price) -> None:
    if not price.currency:
        with pytest.raises(ValueError, match="a price by mass"):
            read_price(text)
        return
    assert read_price(text).per_kg == pytest.approx(price.per_kg)
    assert read_price(text).currency == price.currency
