"""Values said once: used anywhere, and told of where they are wrong."""

from __future__ import annotations

from pathlib import Path

import pytest

from crosscurrent.casefile.case import Case
from crosscurrent.casefile.faults import CaseError
from crosscurrent.casefile.named import NamedValues, define, near_name, spelled_out
from crosscurrent.casefile.reader import read_case

TEXT = """
[named]
{named}
[frequency]
at = ["f"]
[[conductor]]
name = "rod"
shape = "round"
diameter = "thick"
material = "metal"
[[circuit]]
name = "feed"
current = "amps"
out = ["rod"]
"""
GOOD = 'f = "50 Hz"\nthick = "1/4 in +- 2 thou"\nmetal = "brass"\namps = "10 A"'


def read(folder: Path, named: str) -> Case:
    (folder / "rod.toml").write_text(TEXT.format(named=named), encoding="utf-8")
    return read_case(folder / "rod.toml")


def test_quantities_and_metals_by_name(tmp_path: Path) -> None:
    case = read(tmp_path, GOOD)
    assert case.frequencies == (50.0,)
    assert case.problem().conductors[0].material.name == "brass"
    assert case.problem().section.parts[0].bounds[1, 0] == pytest.approx(0.00635 / 2)
    assert case.data.named["thick"] == "1/4 in +- 2 thou"


@pytest.mark.parametrize(
    ("named", "words"),
    [
        (GOOD.replace('"1/4 in', '"6 kHz'), 'line 12, conductor "rod", key diameter: expected a length with a unit'),
        (GOOD.replace('"1/4 in', '"6 kHz'), '("thick" in line 4)'),
        (GOOD + '\ngap = "1 mm"', "line 7, key named gap: expected a name that the case uses, found one that"),
        (GOOD.replace("thick", "thikk"), 'did you mean "thikk" of [named]?'),
        (GOOD.replace('"brass"', '"bras"'), 'found "bras" ("metal" in line 5); did you mean "brass"?'),
        (GOOD.replace('"10 A"', "true"), "a quantity in quotes, a count or the name of a metal, found true"),
        (GOOD + '\n"6 mm" = "1 mm"', 'expected a name that begins with a letter, found "6 mm"'),
    ],
)
def test_what_is_wrong_is_told_with_both_lines(tmp_path: Path, named: str, words: str) -> None:
    with pytest.raises(CaseError) as caught:
        read(tmp_path, named)
    assert words in str(caught.value)
    assert all(fault.hint for fault in caught.value.faults)


def test_one_fault_a_mistake(tmp_path: Path) -> None:
    with pytest.raises(CaseError) as caught:
        read(tmp_path, GOOD.replace('"1/4 in', '"6 kHz'))
    assert len(caught.value.faults) == 1
    twice = TEXT.format(named=GOOD.replace('"1/4 in', '"6 kHz')) + '[[conductor]]\nname = "tube"\nshape = "round"\n'
    (tmp_path / "rods.toml").write_text(twice + 'diameter = "thick"\nmaterial = "metal"\n', encoding="utf-8")
    with pytest.raises(CaseError) as caught:
        read_case(tmp_path / "rods.toml")
    assert [fault.line for fault in caught.value.faults] == [12]


def test_words_that_are_no_names_stay_what_they_are() -> None:
    names = NamedValues({"thick": "6 mm"})
    assert spelled_out("thin", names.context) == ("thin", "")
    assert spelled_out(4, names.context) == (4, "")
    assert spelled_out("thick", None) == ("thick", "")
    assert not names.used
    assert near_name("thikc", names.context) == "thick"
    assert near_name("6 mmm", names.context) is None


def test_a_name_that_is_missing_is_told_once_with_how_to_define_it(tmp_path: Path) -> None:
    text = TEXT.format(named=GOOD.replace('thick = "1/4 in +- 2 thou"\n', "")).replace('"thick"', '"gauge"')
    rod = '[[conductor]]\nname = "{}"\nshape = "round"\ndiameter = "gauge"\nmaterial = "metal"\n'
    (tmp_path / "rods.toml").write_text(text + rod.format("b") + rod.format("c"), encoding="utf-8")
    with pytest.raises(CaseError) as caught:
        read_case(tmp_path / "rods.toml")
    (fault,) = caught.value.faults
    assert fault.found == '"gauge", and so 2 times more'
    assert fault.hint.endswith("or define it once: gauge = ... in [named]")
    names = NamedValues({}).context
    assert [define(value, names) for value in ("6 mm", "inf", 4)] == ["", "", ""]
    assert define("gauge", None) == ""  # of a conductor made in Python


def test_a_name_that_is_there_is_not_to_be_defined_again(tmp_path: Path) -> None:
    """The fault is in its value, whose line is told."""
    text = TEXT.format(named=GOOD.replace('thick = "1/4 in +- 2 thou"', 'thick = "-6 mm"'))
    (tmp_path / "rods.toml").write_text(text, encoding="utf-8")
    with pytest.raises(CaseError) as caught:
        read_case(tmp_path / "rods.toml")
    (fault,) = caught.value.faults
    assert '("thick" in line ' in fault.found
    assert fault.hint == "write it without the minus sign"


def test_a_count_by_a_missing_name_tells_how_to_define_it(tmp_path: Path) -> None:
    repeat = 'repeat = { count = "many", step = ["0 mm", "9 mm"] }'
    text = TEXT.format(named=GOOD).replace('material = "metal"', f'material = "metal"\n{repeat}')
    (tmp_path / "rods.toml").write_text(text.replace('["rod"]', '["rod.*"]'), encoding="utf-8")
    with pytest.raises(CaseError, match=r"or define it once: many = \.\.\. in \[named\]"):
        read_case(tmp_path / "rods.toml")
