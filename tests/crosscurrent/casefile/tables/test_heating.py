"""[[heating]] by itself: units, defaults, what does not fit together."""

from __future__ import annotations

import pytest
from pydantic import ValidationError
from table_rows import refused

from crosscurrent.casefile.tables.heating import HeatingTable

LEAST = {"piece": "billet", "time": "5 min"}
COLD, HOT = ({"at": at, "thermal_conductivity": k} for at, k in (("20 degC", "50 W/(m*K)"), ("700 degC", "30 W/(m*K)")))
BARE = {"thermal_conductivity": None}


def test_units_and_defaults() -> None:
    table = HeatingTable.model_validate({**LEAST, "until": "1200 degC", "film": "10 W/(m2*K)", "power": "30 kW"})
    assert (table.time, table.until, table.film, table.power) == (300.0, 1200.0, 10.0, 30e3)
    assert (table.fields, table.emissivity, table.axis, table.start, table.ambient) == (1, 0.8, "upright", None, None)


@pytest.mark.parametrize(
    ("more", "expected", "found"),
    [
        ({"fields": 5}, "until, up to which the field is solved anew", "none"),
        ({"until": "20 degC", "start": "20 degC"}, "until above the start of 20 degC", "20 degC"),
        ({"over_temperature": [COLD]}, "over_temperature with two or more rows at rising temperatures", "20 degC"),
        ({"over_temperature": [HOT, COLD]}, "over_temperature with two or more rows", "700 degC, 20 degC"),
        ({"over_temperature": [COLD, HOT | BARE]}, "thermal_conductivity in every row", "none at 700 degC"),
        ({"over_temperature": [COLD | BARE, HOT | BARE]}, "thermal_conductivity or heat_capacity", "neither"),
    ],
)
def test_what_does_not_fit_is_refused(more: dict[str, object], expected: str, found: str) -> None:
    said = refused(HeatingTable, **LEAST, **more)
    assert said[0].startswith(expected)
    assert said[1].startswith(found)


@pytest.mark.parametrize("more", [{"fields": 21, "until": "900 degC"}, {"axis": "tilted"}, {"emissivity": 1.5}])
def test_what_no_piece_has_is_refused(more: dict[str, object]) -> None:
    with pytest.raises(ValidationError) as caught:
        HeatingTable.model_validate({**LEAST, **more})
    assert [error["loc"][0] for error in caught.value.errors()] == [next(iter(more))]
