"""The same words from Python: the models, checks and messages of the case file."""

from __future__ import annotations

import math
import tomllib
from collections.abc import Callable

import pytest

from crosscurrent.api import case, circuit, conductor
from crosscurrent.casefile.case import checked_case
from crosscurrent.casefile.conductors import ConductorTable
from crosscurrent.casefile.faults import CaseError
from crosscurrent.casefile.varied import varied

FILE = """
title = "Feed"
frequency.at = ["85 kHz"]
[[conductor]]
name = "outgoing"
shape = "bar"
width = "100 mm"
thickness = "6 mm"
centre = ["0 mm", "3.5 mm"]
material = "copper"
[[conductor]]
name = "return"
shape = "bar"
width = "100 mm"
thickness = "6 mm"
centre = ["0 mm", "-3.5 mm"]
material = "copper"
[[circuit]]
name = "feed"
current = "900 A"
out = ["outgoing"]
back = ["return"]
"""


def bar(name: str, y: str) -> ConductorTable:
    return conductor(name, "bar", width="100 mm", thickness="6 mm", centre=("0 mm", y), material="copper")


def test_same_case_as_from_a_file() -> None:
    feed = circuit("feed", "900 A", out=["outgoing"], back=["return"])
    made = case("Feed", [bar("outgoing", "3.5 mm"), bar("return", "-3.5 mm")], [feed], at=["85 kHz"])
    assert made.data == checked_case(tomllib.loads(FILE)).data
    assert made.title == "Feed"
    assert made.path is None
    assert checked_case(tomllib.loads(made.source.decode())).data == made.data


def test_all_options() -> None:
    tube = conductor(
        "t", "tube", diameter="1 in", wall="2 mm", material="my", repeat={"count": 2, "step": ["0 mm", "30 mm"]}
    )
    made = case(
        "t", [tube], [circuit("c", "1 A", out=["t.1"], back=["t.2"], phase="90 deg", sharing="equal")],
        sweep={"from": "1 kHz", "to": "4 kHz", "points": 3}, length="3 m", ambient="40 degC", accuracy="1 %",
        materials={"my": {"conductivity": "30 MS/m"}},
    )  # fmt: skip
    assert made.frequencies == pytest.approx((1e3, 2e3, 4e3))
    assert (made.length, made.accuracy) == (3, 0.01)
    assert [c.temperature for c in made.problem().conductors] == [40, 40]
    assert made.problem().circuits[0].current == pytest.approx(1j)


def test_an_outline_may_be_closed_by_its_first_point() -> None:
    """A half disc of radius 5 mm: the arc back to where it began, or on the first entry."""
    start, end = ["-5 mm", "0 mm"], ["5 mm", "0 mm"]
    closed = conductor("lug", "outline", material="copper", points=[start, end, {"arc_to": start, "bulge": 1}])
    opened = conductor("lug", "outline", material="copper", points=[{"arc_to": start, "bulge": 1}, end])
    for made in (closed, opened):
        assert made.draw().outer.area == pytest.approx(math.pi * 0.005**2 / 2, rel=1e-12)


FAULTS: list[tuple[Callable[[], object], str]] = [
    (
        lambda: conductor("outgoing", "bar", width="6 kHz", thickness="6 mm", material="copper"),
        'argument width, conductor "outgoing": expected a length with a unit such as "6 mm" or "1/4 in", found "6 kHz" '
        "(a frequency); write the unit of a length: mm, cm, m, um, in, thou",
    ),
    (
        lambda: conductor("rod", "round", width="6 mm", material="copper"),
        'argument diameter, conductor "rod": expected a value, which every round needs, found nothing; '
        'add diameter = "25 mm"\n'
        'argument width, conductor "rod": expected a key of a round, found a key of a bar or box or angle or '
        'channel or bundle; '
        "the dimensions of a round are diameter",
    ),
    (
        lambda: conductor("rod", "ruond", diameter="6 mm", material="copper"),
        'argument shape, conductor "rod": expected one of the shapes bar, round, tube, box, angle, channel, outline, '
        'bundle, drawing, mesh, found "ruond"; did you mean "round"?',
    ),
    (
        lambda: conductor("rod", "tube", diameter="6 mm", wall="4 mm", material="copper"),
        'conductor "rod": expected dimensions that make a tube, found that a wall of 4 mm leaves no bore in a tube of '
        '6 mm; use shape "round" for a solid conductor',
    ),
    (
        lambda: conductor("outgoing", "bar", widht="6 mm", thickness="6 mm", material="copper"),
        'argument widht, conductor "outgoing": expected a key of a bar, found an unknown word; did you mean "width"?',
    ),
    (
        lambda: circuit("feed", "900 A", out=["a"], phse="90 deg"),
        'argument phse, circuit "feed": expected a key of a circuit, found an unknown word; did you mean "phase"?',
    ),
    (
        lambda: circuit("feed", "900", out=[]),
        'argument current, circuit "feed": expected a current with a unit such as "900 A", found "900" (no unit); '
        'write "900 A" if A is meant\n'
        'argument out, circuit "feed": expected at least one conductor, found an empty list; name the conductors that '
        "carry the current out",
    ),
    (
        lambda: case("t", [bar("a", "0 mm")], [circuit("c", "1 A", out=["b"])], accuracy="0.1"),
        'argument frequency: expected at least one frequency, found none; write at = ["50 Hz"] or a sweep; "0 Hz" is '
        "direct current\n"
        'argument resistance, accuracy: expected a percentage with a unit such as "0.1 %", found "0.1" (no unit); '
        'write "0.1 %" if % is meant\n'
        'argument out 1, circuit "c": expected the name of a conductor, found "b"; the conductors are a',
    ),
    (
        lambda: case("t", [bar("a", "0 mm"), bar("b", "5 mm")], [circuit("c", "1 A", out=["b"])], at=["50 Hz"]),
        'expected a section that can be built, found that conductors "a" and "b" overlap by 1 mm near (0 mm, 3 mm); '
        "move them apart or make one of them smaller",
    ),
]


@pytest.mark.parametrize(("build", "expected"), FAULTS)
def test_faults_name_the_argument(build: Callable[[], object], expected: str) -> None:
    with pytest.raises(CaseError) as caught:
        build()
    assert str(caught.value) == expected


def test_names_in_plain_tables() -> None:
    """They are kept in the case file, so that a study varies what moves together."""
    rod = {"name": "rod", "shape": "round", "diameter": "size", "material": "copper"}
    wire = conductor("wire", "round", material="copper", diameter="2 mm", centre=("40 mm", "0 mm"))
    feed = circuit("feed", "1 A", out=["rod"])
    made = case("Rod", [rod, wire], feed, at=["50 Hz"], named={"size": "25 mm"})
    again = checked_case(tomllib.loads(made.source.decode()))
    assert again.data == made.data
    assert varied(again, {"size": 0.03}).data.conductor[0].diameter == 0.03
    assert varied(made, {"size": 0.03}).data.conductor[1].diameter == 0.002


def test_names_that_a_constructor_does_not_know() -> None:
    with pytest.raises(CaseError, match=r'found "size"; .* names of .named. stand in plain tables'):
        conductor("rod", "round", material="copper", diameter="size")
    with pytest.raises(CaseError, match=r"one that stands nowhere; .* names of .named. stand in plain tables"):
        case("Feed", bar("rod", "0 mm"), circuit("feed", "1 A", out=["rod"]), at=["50 Hz"], named={"size": "1 mm"})
