"""What is installed only where it is asked for: the message says what to install."""

from __future__ import annotations

import pytest

from crosscurrent.extras import MissingExtra, extra
from crosscurrent.geometries.errors import CrosscurrentError


def test_a_library_that_is_missing_is_named_with_its_extra() -> None:
    with pytest.raises(MissingExtra) as caught, extra("pdf"):
        raise ModuleNotFoundError("No module named 'weasyprint'", name="weasyprint")
    assert str(caught.value) == 'weasyprint is not installed: pip install "crosscurrent[pdf]"'
    assert isinstance(caught.value, CrosscurrentError)
    assert isinstance(caught.value, ImportError)
    assert caught.value.__suppress_context__


def test_a_library_that_is_there_is_no_matter() -> None:
    with extra("data"):
        import json
    assert json.loads("1") == 1


def test_other_faults_pass_through() -> None:
    with pytest.raises(ImportError, match="broken") as caught, extra("data"):
        raise ImportError("broken")
    assert not isinstance(caught.value, MissingExtra)
