"""Too much in a case is refused at once: before its conductors are built or its values read."""

from __future__ import annotations

import time
from pathlib import Path

import pytest
from topic_cases import SCREENED_RODS

from crosscurrent.casefile.faults import CaseError
from crosscurrent.casefile.reader import read_case

ROD = '[[conductor]]\nname = "r{}"\nshape = "round"\ndiameter = "1 mm"\nmaterial = "copper"\n'
REPEAT = 'repeat = { count = 1000, step = ["2 mm", "0 mm"] }\n'
POINT = '["1 mm", "2 mm"], '
CASES = {
    "a repeat": (
        SCREENED_RODS.replace("count = 2", "count = 1000000"),
        "a count, a bare whole number from 1 to 1000, found the number 1000000; ",
    ),
    "repeats": (
        SCREENED_RODS + ROD.format(1) + REPEAT,
        "expected at most 1000 conductors, copies counted, found 1003; draw a part of the section",
    ),
    "conductors": (
        SCREENED_RODS + "".join(map(ROD.format, range(1100))),
        "expected at most 1000 conductors, copies counted, found 1103",
    ),
    "points": (
        SCREENED_RODS.replace('shape = "round"', 'shape = "outline"').replace(
            'diameter = "8 mm"', f"points = [{POINT * 6000}]"
        ),
        "key points: expected at most 5000 points, found 6000; draw arcs as arcs, or take them from a drawing",
    ),
    "frequencies": (
        SCREENED_RODS.replace('"0 Hz"', ", ".join(f'"{k} Hz"' for k in range(20_000))),
        "frequency, key at: expected at most 10000 entries, found 20001; split the case",
    ),
    "values": (
        SCREENED_RODS + "".join(f"[[joint]]\nx = [{'0,' * 9000}]\n" for _ in range(12)),
        "expected at most 100000 values in a case, found more, up to joint; split the case",
    ),
    "depth": (SCREENED_RODS + "x = " + "[" * 5000, "found lists or tables very deep inside one another; close"),
    "a number": (f"{SCREENED_RODS}[report]\nx = {2**63}\n", "expected a whole number of 64 bits, as TOML has"),
    "hex": (f"ambient = 0x{'f' * 9000}\n{SCREENED_RODS}", "line 1, key ambient: expected a whole number of 64 bits"),
    "digits": (f"length = {'9' * 5000}\n{SCREENED_RODS}", "found a number of thousands of digits; write it shorter"),
    "letters": (
        f'ambient = "{"9" * 100_000} degC"\n{SCREENED_RODS}',
        'found text of 100005 letters; write "70 degC"',
    ),
    "fraction": (f'ambient = "{"9" * 5000}/1 degC"\n{SCREENED_RODS}', "found text of 5007 letters"),
}


@pytest.mark.parametrize("name", CASES)
def test_refused_at_once(name: str, tmp_path: Path) -> None:
    text, words = CASES[name]
    (tmp_path / "rods.toml").write_text(text, encoding="utf-8")
    began = time.process_time()
    with pytest.raises(CaseError) as caught:
        read_case(tmp_path / "rods.toml")
    assert time.process_time() - began < 5
    assert words in str(caught.value)
    assert len(str(caught.value)) < 3000


def test_lines_of_long_files_are_found_soon(tmp_path: Path) -> None:
    """Each key counted the lines before it anew."""
    rows = "".join(f'k{k} = "x"\n' for k in range(9000))
    (tmp_path / "rods.toml").write_text(f"{SCREENED_RODS}[report]\n{rows}")
    began = time.process_time()
    with pytest.raises(CaseError):
        read_case(tmp_path / "rods.toml")
    assert time.process_time() - began < 10
