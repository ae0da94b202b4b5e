"""Places and keys in the words of messages, and what is said of each kind of structural fault."""

from __future__ import annotations

import tomllib
from typing import Any

import pytest
from pydantic import ValidationError

from crosscurrent.casefile.faults import Fault
from crosscurrent.casefile.lines import LineIndex, Path
from crosscurrent.casefile.model import CaseData
from crosscurrent.casefile.wording import article, key_words, locate, name_of, structural_faults

NAMED = {"conductor": [{"name": "go"}, {"name": 3}], "circuit": [{"name": "feed"}]}
TEXT = """title = "x"
frequency.at = ["50 Hz"]
[[conductor]]
name = "rod"
shape = "round"
diameter = "6 mm"
material = "copper"
[[circuit]]
name = "feed"
current = "1 A"
out = ["rod"]
"""


@pytest.mark.parametrize(
    ("path", "words"),
    [
        (("title",), ("", "title")),
        (("frequency", "sweep", "from"), ("frequency", "sweep from")),
        (("frequency",), ("", "frequency")),
        (("conductor", 0, "width"), ('conductor "go"', "width")),
        (("conductor", 1, "width"), ("conductor 2", "width")),
        (("conductor", 5, "plating", 1, "thickness"), ("conductor 6", "plating 2 thickness")),
        (("circuit", 0, "out", 0), ('circuit "feed"', "out 1")),
        (("material", "my", "density"), ('material "my"', "density")),
    ],
)
def test_where_a_key_stands(path: Path, words: tuple[str, str]) -> None:
    assert locate(path, NAMED) == words


@pytest.mark.parametrize(
    ("path", "words"),
    [
        (("centre", 1), "centre y"),
        (("repeat", "step", 0), "repeat step x"),
        (("points", 2, 0), "points 3 x"),
        (("points", 2, "arc_to", 1), "points 3 arc_to y"),
        (("holes", 0, 3, 1), "holes 1 4 y"),
        (("out", 1), "out 2"),
        (("centre", 2), "centre 3"),
    ],
)
def test_coordinates_are_called_x_and_y(path: Path, words: str) -> None:
    assert key_words(path) == words


def test_names_that_cannot_be_used_are_none() -> None:
    assert name_of(NAMED, "conductor", 0) == "go"
    for data, index in ((NAMED, 1), (NAMED, 7), (NAMED, "x"), ({"conductor": "x"}, 0), (3, 0)):
        assert name_of(data, "conductor", index) == ""  # type: ignore[arg-type]


def test_articles() -> None:
    assert [f"{article(noun)} {noun}" for noun in ("outline", "angle", "bar")] == ["an outline", "an angle", "a bar"]


def faults_of(text: str) -> list[Fault]:
    data: dict[str, Any] = tomllib.loads(text)
    with pytest.raises(ValidationError) as caught:
        CaseData.model_validate(data)
    return list(structural_faults(caught.value, data, LineIndex(text)))


@pytest.mark.parametrize(
    ("old", "new", "line", "key", "found", "hint"),
    [
        ('name = "rod"\n', "", 3, "name", "nothing", 'add name = "outgoing"'),
        ("diameter", "diametre", 6, "diametre", "an unknown word", 'did you mean "diameter"?'),
        ("diameter", "width", 6, "width", "a key of a bar or box or angle or channel or bundle",
         "the dimensions of a round are diameter"),
        ('shape = "round"\n', "", 3, "shape", "nothing", 'add shape = "bar"'),
        ('"round"', '"bundel"', 5, "shape", '"bundel"', 'did you mean "bundle"?'),
        ('"copper"', "3", 7, "material", "the number 3", 'write "3"'),
        ('["rod"]', '"rod"', 11, "out", '"rod"', 'write ["rod"]'),
        ("[[circuit]]", "[circuit]", 8, "circuit", "a table", "head each one with double brackets: [[circuit]]"),
        ('"6 mm"\n', '"6 mm"\ncentre = ["0 mm"]\n', 7, "centre y", "1", "write both, each with its unit"),
        ('"6 mm"\n', '"6 mm"\ncentre = ["0 m", "0 m", "0 m"]\n', 7, "centre", "3", "a section is flat"),
        ('"6 mm"\n', '"6 mm"\ncentre = "0 mm"\n', 7, "centre", '"0 mm"', 'for example ["0 mm", "3.5 mm"]'),
        ('"6 mm"\n', '"6 mm"\nrepeat = 3\n', 7, "repeat", "the number 3", "write its keys in braces"),
        ('"6 mm"\n', '"6 mm"\nplating = { material = "tin" }\n', 7, "plating", "a table", "put brackets around it"),
        ('["rod"]', '["rod"]\nsharing = "equall"', 12, "sharing", '"equall"', 'did you mean "equal"?'),
        ("[[circuit]]", "[[report]]\n[[circuit]]", 8, "report", "a list", "head it with single brackets: [report]"),
        ('"6 mm"\n', '"6 mm"\nclosed = "maybe"\n', 7, "closed", '"maybe"', "write true without quotes"),
        ('"6 mm"\n', '"6 mm"\nphase = "5 deg"\n', 7, "phase", "a key of a circuit or coil", "it under [[circuit]]"),
        ('["rod"]', '["rod"]\nsharing = "x"', 12, "sharing", '"x"', "share as their impedances say"),
    ],
)  # fmt: skip
def test_each_kind_of_fault_has_its_words(old: str, new: str, line: int, key: str, found: str, hint: str) -> None:
    assert TEXT.count(old) >= 1
    faults = [fault for fault in faults_of(TEXT.replace(old, new, 1)) if fault.key == key]
    assert [(fault.line, fault.found) for fault in faults] == [(line, found)]
    assert faults[0].hint.startswith(hint) or hint in faults[0].hint


def test_a_misspelt_key_is_not_missing_as_well() -> None:
    assert [fault.key for fault in faults_of(TEXT.replace("diameter", "diametre"))] == ["diametre"]
