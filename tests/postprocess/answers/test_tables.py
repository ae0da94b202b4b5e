"""Tables and sentences: one prefix for figures that are near each other, layers, the return outside the section."""

from __future__ import annotations

import cmath
import textwrap
from dataclasses import replace

import pytest
from made_answers import conductor, point

from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.shapes import round_bar
from crosscurrent.postprocess.answers import cautions
from crosscurrent.postprocess.answers.answers import Answers, answers
from crosscurrent.postprocess.answers.tables import layer_table, sentences, tables
from crosscurrent.postprocess.answers.units import engineering, together
from crosscurrent.solver.field.problem import Circuit, Conductor, Problem
from crosscurrent.solver.field.solve import solve
from crosscurrent.solver.metals.materials import MATERIALS


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


def test_what_is_said_alike_of_a_row_is_said_once() -> None:
    rows = [conductor(f"go.{k}") for k in range(1, 7)] + [conductor(f"back.{k}", current=-10 + 0j) for k in (1, 2)]
    rows[2] = replace(rows[2], loss=2 * rows[2].loss, sentence="the current is elsewhere")
    said = [line.split(": ")[0] for line in sentences(point(1e3, conductors=tuple(rows)))]
    assert said == ["go.1, go.2", "go.3", "go.4, go.5, go.6", "back.1, back.2", "outside"]


def test_what_returns_outside_is_said_with_its_radius(plated: Answers) -> None:
    last = sentences(plated)[-1]
    assert last.startswith("outside: 400.0 A return on a circle of radius ")
    assert f"{1e3 * plated.return_radius:.4g}" in last


@pytest.fixture(scope="module")
def star() -> Answers:
    """Three wires of 10 mm, 20 mm apart, and one like them as their neutral; the third phase carries less."""
    places = {"a": (0.0, 0.0), "b": (0.02, 0.0), "c": (0.04, 0.0), "n": (0.02, 0.02)}
    wires = tuple(
        Conductor(Part(name, round_bar(0.01).placed(place)), MATERIALS["copper"]) for name, place in places.items()
    )
    currents = (100.0, 100 * cmath.exp(-2j * cmath.pi / 3), 40 * cmath.exp(2j * cmath.pi / 3))
    lines = tuple(Circuit(f"L{k + 1}", i, ("abc"[k],), ("n",)) for k, i in enumerate(currents))
    return answers(solve(Problem(wires, lines), 50.0))


def test_coupled_circuits_show_their_own_conductors_first_and_their_terminals_last(star: Answers) -> None:
    own, shared, sequences, *_, last = tables(star, 10.0)
    assert own.columns[3] == "R of its own"
    assert not [cell for row in own.rows for cell in row[3:] if cell.startswith("-") and cell != "-"]
    assert own.rows[-1][0] == "the whole section"
    assert own.rows[-1][6] == engineering(star.total_loss, "W/m")
    assert shared.rows[0][:3] == ("n", "L1, L2, L3", "60.00 A")  # |100 + 100 a2 + 40 a|: what is missing of 100 A
    assert [row[0] for row in sequences.rows] == ["zero", "positive", "negative"]
    assert "back at" not in sequences.heading
    assert last.heading.startswith("Power passed between coupled circuits: terminal R = Re(V/I), negative where")
    assert sum(c.loss for c in star.circuits.values()) == pytest.approx(star.total_loss, rel=1e-6)


def test_own_and_shared_losses_make_the_whole(star: Answers) -> None:
    own = sum(c.own_loss for c in star.circuits.values())
    assert own + star.conductors["n"].loss == pytest.approx(star.total_loss, rel=1e-9)


def test_near_figures_of_a_column_have_one_prefix(plated: Answers) -> None:
    assert [row[1] for row in tables(plated)[0].rows] == ["900.0 A", "500.0 A", "-"]
    assert together([950.0, 1250.0], "A") == ["0.9500 kA", "1.250 kA"]
    assert together([1.0, 1250.0], "A") == ["1.000 A", "1.250 kA"]  # far apart: each its own
    assert together([], "A") == []
    assert together([0.0, None, 5.0], "A") == ["0 A", "-", "5.000 A"]
    assert engineering(-9.5, "W/m", like=1250.0) == "-0.009500 kW/m"


def test_no_cell_holds_a_minus_zero_or_an_exponent(plated: Answers) -> None:
    cells = [cell for table in tables(plated, 2.0) for row in table.rows for cell in row]
    assert not [cell for cell in cells if cell.startswith("-0.0 ") or "e+" in cell]


def test_every_caution_fits_on_two_lines() -> None:
    every = [text for name, text in vars(cautions).items() if name.isupper() and not isinstance(text, float)]
    for text in [line for of in every for line in ((of,) if isinstance(of, str) else of)]:
        assert len(textwrap.wrap(text, 100)) <= 2, text
