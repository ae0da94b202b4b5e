"""The whole case file as a model: what may be left out, and what every table has in common."""

from __future__ import annotations

import tomllib
from typing import Any

import pytest
from pydantic import BaseModel, ValidationError

from crosscurrent.casefile.model import CaseData
from crosscurrent.casefile.wording import _models

LEAST: dict[str, Any] = tomllib.loads("""
frequency.at = ["50 Hz"]
conductor = [{ name = "rod", shape = "round", diameter = "6 mm", material = "copper" }]
""")


def tables_in(model: type[BaseModel]) -> set[type[BaseModel]]:
    """A model and every model inside it."""
    found = {model}
    for field in model.model_fields.values():
        for inner in _models(field.annotation):
            if inner not in found:
                found |= tables_in(inner)
    return found


def test_what_is_left_out() -> None:
    data = CaseData.model_validate(LEAST)
    assert (data.title, data.length, data.ambient) == ("", None, 20.0)
    assert (data.accuracy.resistance, data.accuracy.roughness) == (1e-3, "gradient")
    asked = {name for name, value in data if value not in (None, (), {}, "")}
    assert asked == {"symmetry", "ambient", "frequency", "accuracy", "conductor", "pictures", "report"}


def test_every_table_refuses_unknown_keys_and_never_changes() -> None:
    for model in tables_in(CaseData):
        assert model.model_config.get("extra") == "forbid", model
        assert model.model_config.get("frozen"), model


def test_a_case_cannot_be_changed() -> None:
    data = CaseData.model_validate(LEAST)
    with pytest.raises(ValidationError, match="frozen"):
        data.title = "other"  # type: ignore[misc]


@pytest.mark.parametrize("key", ["conductor", "frequency"])
def test_a_case_needs_conductors_and_frequencies(key: str) -> None:
    with pytest.raises(ValidationError) as caught:
        CaseData.model_validate({k: v for k, v in LEAST.items() if k != key})
    assert [(error["type"], error["loc"]) for error in caught.value.errors()] == [("missing", (key,))]


def test_a_case_without_any_conductor() -> None:
    with pytest.raises(ValidationError) as caught:
        CaseData.model_validate(LEAST | {"conductor": []})
    assert caught.value.errors()[0]["ctx"]["hint"] == "add a table [[conductor]] for each conductor"
