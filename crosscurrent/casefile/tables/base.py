"""What every table of a case file has in common."""

from __future__ import annotations

from pydantic import BaseModel, ConfigDict


class Table(BaseModel):
    """A table of the case file: unknown keys are faults, nothing changes after reading."""

    model_config = ConfigDict(extra="forbid", frozen=True)
