"""Figures that are no more than noise are shown as none, wherever they are shown."""

from __future__ import annotations

from dataclasses import replace

import pytest
from made_answers import circuit, conductor, point

from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.shapes import round_bar, tube
from crosscurrent.postprocess.answers.answers import Answers, LayerAnswer, answers
from crosscurrent.postprocess.answers.noise import column, loss_noise, or_none, terminal_noise, voltage_noise
from crosscurrent.postprocess.answers.tables import (
    circuit_table,
    conductor_table,
    density_table,
    layer_table,
    own_table,
    sentences,
    sequence_table,
    terminal_table,
    voltage_table,
)
from crosscurrent.solver.field.problem import Circuit, Conductor, Problem
from crosscurrent.solver.field.sequences import Sequences
from crosscurrent.solver.field.solve import solve
from crosscurrent.solver.metals.materials import MATERIALS


@pytest.fixture(scope="module")
def coax() -> Answers:
    """A coaxial pair with 100 A at 50 Hz; outside a rod by itself and an open one. There is no field (Ampere's law)."""
    parts = [Part("core", round_bar(0.01)), Part("sheath", tube(0.03, 0.002))]
    parts += [Part(name, round_bar(0.006).placed((x, 0.0))) for name, x in (("rod", 0.05), ("open", -0.05))]
    circuits = (Circuit("line", 100.0, ("core",), ("sheath",)), Circuit("pickup", 0.0, ("open",)))
    return answers(solve(Problem(tuple(Conductor(p, MATERIALS["copper"]) for p in parts), circuits), 50.0))


def test_outside_a_coaxial_pair_there_is_no_loss_no_force_no_voltage(coax: Answers) -> None:
    core, _, rod, opened = conductor_table(coax).rows
    assert (rod[1], rod[4:6], opened[4]) == ("induced", ("none", "-"), "none")
    assert core[4].endswith("W/m")
    assert [row[-4:] for row in density_table(coax).rows][2:] == [("none",) * 4] * 2
    assert sentences(coax)[2:4] == tuple(f"{name}: carries no current" for name in ("rod", "open"))
    line, pickup = voltage_table(coax, 2.0).rows
    assert (pickup[2], pickup[-2], pickup[-1]) == ("none", "none", "none")
    assert line[2].endswith("V/m")


def test_noise_is_the_bar_and_a_floor() -> None:
    """A bar of 1 %, and 1e-12 of all loss; R and X with 1 % each."""
    found = point(conductors=(conductor("rod", 1e3), conductor("far", 1e-10)))
    found_far = found.conductors["far"]
    assert loss_noise(found.conductors["rod"], found) == pytest.approx(10.0)
    assert loss_noise(found_far, found) == pytest.approx(1e-12 * found.total_loss)
    one = circuit()
    assert terminal_noise(one, found) == pytest.approx(0.01 * 0.1)
    assert voltage_noise(one, found) == pytest.approx(10 * 0.01 * (1e-6 + 0.04) ** 0.5)


def test_a_column_keeps_one_prefix_beside_none() -> None:
    assert column([1250.0, 2e-15, 900.0], [1.0, 1e-12, 1.0], "W/m") == ["1.250 kW/m", "none", "0.9000 kW/m"]
    assert or_none("x", 0.0, 0.0) == "none"
    assert or_none("x", 1.0, 0.5, "no loss") == "x"


def test_r_l_and_x_below_their_bars_are_none_at_terminals_and_along_the_run() -> None:
    unsure = replace(circuit(), resistance_error=1.5, own_resistance_error=1.5, inductance_error=1.0)
    found = point(1e3, unsure)
    assert circuit_table(found).rows[0][2:7] == ("none", "-", "1", "none", "-")
    assert voltage_table(found, 2.0).rows[0][1:5] == ("none", "none", "none", "none")
    assert own_table(found).rows[0][3:5] == ("none", "-")
    shared = replace(circuit(), own_resistance=0.0, own_resistance_error=0.0)
    assert own_table(point(1e3, shared)).rows[0][3:5] == ("none", "-")
    assert terminal_table(found).rows[0][1:6] == ("none", "-", "none", "-", "none")
    assert circuit_table(point()).rows[0][2:4] == ("1.0000 mohm/m", "1 %")


def test_sequences_below_their_bars_are_none() -> None:
    alike = Sequences(1e-3 + 2e-3j, 1e-6 + 1e-3j, 1e-3 + 1e-6j, 2e-6, 2e-6, 2e-6, 0.0)
    rows = sequence_table(replace(point(), sequences=alike)).rows
    assert (rows[1][1:3], rows[2][3:5]) == (("none", "-"), ("none", "-"))
    assert rows[0][1].endswith("mohm/m")


def test_a_return_is_spoken_of_in_the_plane_only() -> None:
    """Round an axis every inductance is one of its own."""
    found = replace(point(), sequences=Sequences(1e-3, 1e-3, 1e-3, 1e-9, 1e-9, 1e-9, 0.0))
    apart = replace(found, circuits={"feed": circuit()})
    assert "back at" in sequence_table(apart).heading
    assert "back at" not in sequence_table(replace(apart, axial=True)).heading


def test_metals_of_a_conductor_that_loses_nothing_have_no_share_of_it() -> None:
    two = {"copper": LayerAnswer(None, 0.7), "silver": LayerAnswer(None, 0.3)}
    found = point(conductors=(conductor("rod", 1e3), replace(conductor("far", 1e-10, 0j), layers=two)))
    assert [row[3] for row in layer_table(found).rows] == ["none", "none"]
