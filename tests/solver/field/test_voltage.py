"""Who faces whom, how far apart, and what a long line does to its current."""

from __future__ import annotations

import math

import pytest

from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.shapes import round_bar, tube
from crosscurrent.solver.field.problem import Circuit, Conductor, Problem
from crosscurrent.solver.field.voltage import VoltagePair, current_change, gap_between, voltage_pairs
from crosscurrent.solver.metals.materials import MATERIALS


def placed(name: str, x: float, coats: tuple[float, ...] = ()) -> Conductor:
    metals = tuple(MATERIALS["tin"] for _ in coats)
    return Conductor(Part(name, round_bar(0.01).placed((x, 0.0)), coats), MATERIALS["copper"], coats=metals)


def test_a_circuit_with_a_back_faces_itself_and_the_others_each_other() -> None:
    lines = tuple(Circuit(f"line - {name}", 1.0, (name,)) for name in "ad")
    circuits = (lines[0], Circuit("loop", 1.0, ("b",), ("c",)), lines[1])
    found = list(voltage_pairs(Problem((), circuits)))
    assert found == [
        VoltagePair("loop", ("b",), ("c",), ("loop",)),
        VoltagePair("line - a - line - d", ("a",), ("d",), ("line - a", "line - d")),
    ]


def test_phases_with_one_neutral_face_it_and_each_other() -> None:
    phases = tuple(Circuit(name, 1.0, (name,), ("n",)) for name in ("a", "b"))
    assert list(voltage_pairs(Problem((), phases))) == [
        VoltagePair("a", ("a",), ("n",), ("a",)),
        VoltagePair("b", ("b",), ("n",), ("b",)),
        VoltagePair("a - b", ("a",), ("b",), ("a", "b")),
    ]


def test_two_returns_of_one_feed_face_each_other() -> None:
    loops = tuple(Circuit(name, 1.0, ("feed",), (name,)) for name in ("a", "b"))
    assert list(voltage_pairs(Problem((), loops)))[2] == VoltagePair("a - b", ("a",), ("b",), ("a", "b"))


def test_the_gap_is_the_smallest_and_coats_take_their_share() -> None:
    """Rods of 10 mm at 0, 30 and 60 mm: 20 mm between the nearest; coats of 0.1 and 0.2 mm leave 19.7 mm."""
    plain = Problem((placed("a", 0.0), placed("b", 0.03), placed("c", 0.06)), ())
    assert gap_between(plain, VoltagePair("p", ("a",), ("b", "c"), ())) == pytest.approx(0.02, rel=1e-9)
    coated = Problem((placed("a", 0.0, (1e-4,)), placed("b", 0.03, (2e-4,))), ())
    assert gap_between(coated, VoltagePair("p", ("a",), ("b",), ())) == pytest.approx(0.0197, rel=1e-9)


def test_a_short_line_hardly_changes_its_current() -> None:
    """1 - cos x is x^2 / 2 of a small x, here 2 pi f l / c; from half a wave on the answer is 2."""
    air = 1 / (1e-6 * 299792458.0**2)
    small = 2 * math.pi * 1e5 * 3 / 299792458.0
    assert current_change(1e5, 1e-6, air, 3.0) == pytest.approx(small**2 / 2, rel=1e-5)
    assert current_change(1e9, 1e-6, air, 3.0) == 2.0


def test_the_gap_of_a_coaxial_line_ends_at_its_bore() -> None:
    core = placed("core", 0.0)
    screen = Conductor(Part("screen", tube(0.03, 0.002)), MATERIALS["copper"])
    pair = VoltagePair("feed", ("core",), ("screen",), ("feed",))
    assert gap_between(Problem((core, screen), ()), pair) == pytest.approx(0.008)  # (26 - 10) / 2 mm
