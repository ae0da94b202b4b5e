"""A warning is data: equal ones count once."""

import pickle
from dataclasses import FrozenInstanceError

import pytest

from crosscurrent.solver.field.field_warning import FieldWarning


def test_it_is_about_the_whole_section_unless_it_says_otherwise() -> None:
    assert FieldWarning("accuracy", "the bound was not reached").about == ""
    assert FieldWarning("saturation", "hot", "bar").about == "bar"


def test_equal_warnings_count_once() -> None:
    one = FieldWarning("accuracy", "text", "bar")
    assert {one, FieldWarning("accuracy", "text", "bar"), pickle.loads(pickle.dumps(one))} == {one}
    assert FieldWarning("accuracy", "text", "rod") != one


def test_it_does_not_change() -> None:
    with pytest.raises(FrozenInstanceError):
        FieldWarning("accuracy", "text").text = "another"  # type: ignore[misc]
