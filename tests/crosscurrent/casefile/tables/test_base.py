"""What every table has in common."""

from __future__ import annotations

import pytest
from pydantic import ValidationError

from crosscurrent.casefile.tables.base import Table, kept


class Small(Table):
    """A table of one number."""

    size: float = 1.0

    @kept
    def doubled(self) -> list[float]:
        """Twice the number, as something that can be told from another."""
        return [2 * self.size]


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


def test_what_is_kept_is_made_once_and_not_copied() -> None:
    table = Small(size=2.0)
    assert table.doubled() is table.doubled()
    assert table == Small(size=2.0)
    assert hash(table) == hash(Small(size=2.0))
    assert table.model_dump() == {"size": 2.0}
    assert table.model_copy(update={"size": 3.0}).doubled() == [6.0]
