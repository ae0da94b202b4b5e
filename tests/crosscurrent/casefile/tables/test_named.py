"""The table [named] by itself."""

from __future__ import annotations

import pytest
from pydantic import TypeAdapter, ValidationError

from crosscurrent.casefile.tables.named import NamedTable

TABLE = TypeAdapter(NamedTable)


def test_text_and_numbers_stay_as_written() -> None:
    assert TABLE.validate_python({"gap": "3 mm +- 0.2 mm", "count": 4}) == {"gap": "3 mm +- 0.2 mm", "count": 4}


@pytest.mark.parametrize("table", [{"gap": ["3 mm"]}, {"gap": False}, {"3": "3 mm"}, {" gap": "3 mm"}])
def test_nothing_else(table: dict[str, object]) -> None:
    with pytest.raises(ValidationError):
        TABLE.validate_python(table)
