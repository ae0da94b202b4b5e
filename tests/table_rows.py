"""Tables of a case file alone, and the fault of one that cannot be."""

from __future__ import annotations

from typing import Any

import pytest
from pydantic import ValidationError

from crosscurrent.casefile.tables.base import Table


def refused(model: type[Table], **written: Any) -> tuple[str, str]:
    """What was expected and found of a table that is at fault."""
    with pytest.raises(ValidationError) as caught:
        model.model_validate(written)
    (one,) = caught.value.errors()
    return one["ctx"]["expected"], one["ctx"]["found"]
