"""Tables and sentences: one prefix for figures that are near each other, layers, the return outside the section."""

from __future__ import annotations

import textwrap

import pytest

from crosscurrent.geometries.section import Part
from crosscurrent.geometries.shapes import round_bar
from crosscurrent.postprocess import cautions
from crosscurrent.postprocess.answers import Answers, answers
from crosscurrent.postprocess.faces import FaceFlow
from crosscurrent.postprocess.tables import layer_table, sentences, tables
from crosscurrent.postprocess.units import engineering, together
from crosscurrent.postprocess.words import where_it_flows
from crosscurrent.solver.materials import MATERIALS
from crosscurrent.solver.problem import Circuit, Conductor, Problem
from crosscurrent.solver.solve import solve


@pytest.fixture(scope="module")
def plated() -> Answers:
    """A silvered rod that feeds 900 A, a bare one that returns 500 A of them."""
    rods = (
        Conductor(Part("rod", round_bar(0.01), (1e-3,)), MATERIALS["brass"], coats=(MATERIALS["silver"],)),
        Conductor(Part("bare", round_bar(0.01).placed((0.03, 0))), MATERIALS["copper"]),
    )
    circuits = (Circuit("feed", 900.0, ("rod",)), Circuit("rest", -500.0, ("bare",)))
    return answers(solve(Problem(rods, circuits), 0.0))


def test_shares_of_the_metals_at_direct_current(plated: Answers) -> None:
    """Areas 25 and 11 (in units of pi mm2) times 15.9 and 62.9 MS/m."""
    table = layer_table(plated)
    assert table is not None
    brass = 100 * 25 * 15.9 / (25 * 15.9 + 11 * 62.9)
    shares = [f"{brass:.1f} %", f"{100 - brass:.1f} %"]
    assert table.rows == (("rod", "brass", shares[0], shares[0]), ("rod", "silver", shares[1], shares[1]))
    assert table in tables(plated)


def test_what_returns_outside_is_said_with_its_radius(plated: Answers) -> None:
    last = sentences(plated)[-1]
    assert last.startswith("outside: 400.0 A return on a circle of radius ")
    assert f"{1e3 * plated.return_radius:.4g}" in last


def test_near_figures_of_a_column_have_one_prefix(plated: Answers) -> None:
    assert [row[1] for row in tables(plated)[0].rows] == ["900.0 A", "500.0 A"]
    assert together([950.0, 1250.0], "A") == ["0.9500 kA", "1.250 kA"]
    assert together([1.0, 1250.0], "A") == ["1.000 A", "1.250 kA"]  # far apart: each its own
    assert together([], "A") == []
    assert together([0.0, None, 5.0], "A") == ["0 A", "-", "5.000 A"]
    assert engineering(-9.5, "W/m", like=1250.0) == "-0.009500 kW/m"


def test_no_cell_holds_a_minus_zero_or_an_exponent(plated: Answers) -> None:
    cells = [cell for table in tables(plated, 2.0) for row in table.rows for cell in row]
    assert not [cell for cell in cells if cell.startswith("-0.0 ") or "e+" in cell]


def test_more_than_all_of_the_current_is_explained() -> None:
    faces = [
        FaceFlow("upper face", -11 + 0j, 12.0, 1.0, 1e-3, 0.02),
        FaceFlow("lower face", 12 + 0j, 13.0, 1.0, 1e-3, 0.02),
    ]
    said = where_it_flows(faces, 1 + 0j, 1e6, 1e5, 0.01)
    assert said.endswith("1100 % flows backwards elsewhere: what its neighbours induce exceeds its own current")


def test_every_caution_fits_on_two_lines() -> None:
    every = [text for name, text in vars(cautions).items() if name.isupper()]
    for text in [line for of in every for line in ((of,) if isinstance(of, str) else of)]:
        assert len(textwrap.wrap(text, 100)) <= 2, text
