"""The same bytes as the standard library's."""

from __future__ import annotations

import json

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from crosscurrent.postprocess.files.indented_json import indented_json

LEAVES = st.one_of(st.none(), st.booleans(), st.integers(), st.floats(allow_nan=False, allow_infinity=False), st.text())
VALUES = st.recursive(LEAVES, lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(), inner, max_size=3))


@settings(max_examples=100, deadline=None, derandomize=True, database=None)
@given(VALUES)
def test_as_the_standard_library_has_it(value: object) -> None:
    assert indented_json(value) == json.dumps(value, indent=1, ensure_ascii=False)


def test_numbers_of_arrays_are_numbers() -> None:
    assert indented_json((np.float64(0.1), True)) == "[\n 0.1,\n true\n]"


@pytest.mark.parametrize("value", [float("nan"), float("inf"), [1.0, {"a": -np.inf}]])
def test_numbers_without_end_are_refused(value: object) -> None:
    with pytest.raises(ValueError, match="not JSON compliant"):
        indented_json(value)


def test_other_things_are_refused() -> None:
    with pytest.raises(TypeError):
        indented_json({"a": object()})
