"""Every faulty case file gives exactly the message that stands beside it."""

from __future__ import annotations

from pathlib import Path

import pytest

from crosscurrent.casefile.faults import CaseError
from crosscurrent.casefile.reader import read_case
from crosscurrent.geometries.errors import CrosscurrentError

FAULTY = sorted((Path(__file__).parent / "faulty").glob("*.toml"))


def message(path: Path) -> str:
    with pytest.raises(CaseError) as caught:
        read_case(path)
    assert all(fault.hint for fault in caught.value.faults)  # what to do
    return str(caught.value)


@pytest.mark.parametrize("path", FAULTY, ids=lambda path: path.stem)
def test_message_is_exactly_as_written(path: Path) -> None:
    assert message(path) == path.with_suffix(".txt").read_text(encoding="utf-8").rstrip("\n")


def test_there_are_enough_and_each_has_its_message() -> None:
    assert len(FAULTY) >= 45
    texts = {path.stem for path in (Path(__file__).parent / "faulty").glob("*.txt")}
    assert texts == {path.stem for path in FAULTY}


def test_all_faults_come_in_one_pass() -> None:
    with pytest.raises(CaseError) as caught:
        read_case(Path(__file__).parent / "faulty" / "many-faults.toml")
    assert [fault.line for fault in caught.value.faults] == [2, 10, 13, 20, 25, 27, 28]
    assert isinstance(caught.value, (CrosscurrentError, ValueError))
