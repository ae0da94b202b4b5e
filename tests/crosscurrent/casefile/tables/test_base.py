"""What every table has in common."""

from __future__ import annotations

import pytest
from pydantic import ValidationError

from crosscurrent.casefile.tables.base import Table


class Small(Table):
    """A table of one number."""

    size: float = 1.0


def test_unknown_keys_are_faults() -> None:
    with pytest.raises(ValidationError) as caught:
        Small.model_validate({"sise": 2.0})
    assert [(error["type"], error["loc"]) for error in caught.value.errors()] == [("extra_forbidden", ("sise",))]


def test_nothing_changes_after_reading_and_equal_tables_are_equal() -> None:
    table = Small(size=2.0)
    with pytest.raises(ValidationError, match="frozen"):
        table.size = 3.0  # type: ignore[misc]
    assert table == Small.model_validate({"size": 2.0})
    assert hash(table) == hash(Small(size=2.0))
