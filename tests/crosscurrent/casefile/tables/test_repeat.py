"""The table `repeat` by itself."""

from __future__ import annotations

import pytest
from pydantic import ValidationError

from crosscurrent.casefile.tables.repeat import RepeatTable


def test_a_step_or_a_gap() -> None:
    assert RepeatTable.model_validate({"count": 3, "step": ["1 mm", "0 mm"]}).step == (1e-3, 0.0)
    assert RepeatTable.model_validate({"count": 3, "gap": "2 mm", "along": "y"}).gap == 2e-3


@pytest.mark.parametrize("table", [{"count": 2}, {"count": 2, "gap": "1 mm", "step": ["1 mm", "0 mm"]}])
def test_not_neither_and_not_both(table: dict[str, object]) -> None:
    with pytest.raises(ValidationError):
        RepeatTable.model_validate(table)
