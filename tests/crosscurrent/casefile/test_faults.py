"""A fault in words: where, what was expected and found, what to do; all of a case in the order of its lines."""

from __future__ import annotations

import pickle

import pytest

from crosscurrent.casefile.faults import CaseError, Fault
from crosscurrent.geometries.errors import CrosscurrentError

WIDTH = Fault(14, "width", "a length", '"6 kHz"', "write mm", 'conductor "go"')


@pytest.mark.parametrize(
    ("fault", "text", "argument"),
    [
        (WIDTH, 'line 14, conductor "go", key width: expected a length, found "6 kHz"; write mm',
         'argument width, conductor "go", line 14: expected a length, found "6 kHz"; write mm'),
        (Fault(None, "", "a case file", "a folder"), "expected a case file, found a folder",
         "expected a case file, found a folder"),
        (Fault(3, "", "TOML", "x"), "line 3: expected TOML, found x", "line 3: expected TOML, found x"),
        (Fault(None, "at", "a list", "x"), "key at: expected a list, found x", "argument at: expected a list, found x"),
    ],
)  # fmt: skip
def test_parts_that_are_not_known_leave_no_gap(fault: Fault, text: str, argument: str) -> None:
    assert (str(fault), fault.as_argument()) == (text, argument)


def test_what_moves_a_terminal_is_spelled_out() -> None:
    fault = Fault(1, "name", "a name", '"\x1b[2Jcopper\n\u202e"', place='conductor "a\x07"')
    told = r'line 1, conductor "a\u0007", key name: expected a name, found "\u001b[2Jcopper\u000a\u202e"'
    assert str(fault) == told


def test_one_fault_of_a_file_is_one_line() -> None:
    assert str(CaseError([WIDTH], "a.toml")).startswith("a.toml, line 14, ")
    assert str(CaseError([Fault(None, "", "a case file", "a folder")], "a")).startswith("a: expected a case file")


def test_several_are_counted_and_sorted_by_line_missing_tables_first() -> None:
    none, missing = Fault(None, "", "e", "more"), Fault(None, "frequency", "e", "f")
    error = CaseError([none, WIDTH, missing, Fault(2, "a", "e", "f")], "a.toml")
    assert [(fault.line, fault.key) for fault in error.faults[:3:2]] == [(None, "frequency"), (14, "width")]
    assert error.faults[-1] == none
    assert str(error).splitlines()[0] == "a.toml: 4 faults"
    assert len(str(error).splitlines()) == 5


def test_a_case_of_python_names_arguments_and_counts_nothing() -> None:
    assert str(CaseError([WIDTH, WIDTH])) == "\n".join([WIDTH.as_argument()] * 2)


def test_a_case_error_is_a_value_error_of_this_program() -> None:
    assert issubclass(CaseError, CrosscurrentError)
    assert issubclass(CaseError, ValueError)


def test_a_case_error_comes_back_from_another_process() -> None:
    error = CaseError([WIDTH], "a.toml")
    again = pickle.loads(pickle.dumps(error))
    assert (str(again), again.faults, again.file) == (str(error), error.faults, "a.toml")
