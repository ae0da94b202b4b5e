"""Losses of the conductors that one circuit has for itself."""

from dataclasses import replace

import pytest
from common import TURN, rod

from crosscurrent.postprocess.answers.own_figures import own_figures
from crosscurrent.solver.field.problem import Circuit, Problem
from crosscurrent.solver.field.solve import solve

WIRES = tuple(rod(name, 0.004, x, y) for name, x, y in (("a", 0, 0), ("b", 0.006, 0), ("n", 0.003, 0.006)))
LINES = (Circuit("one", 10.0, ("a",), ("n",)), Circuit("two", 4 * TURN, ("b",), ("n",)))
AREA = 3.141592653589793 * 0.002**2


@pytest.fixture(scope="module")
def solution():
    return solve(Problem(WIRES, LINES), 0.0)


def test_direct_current_heats_each_wire_by_hand(solution) -> None:
    """R = 1 / (58 MS/m x area) and R I^2; the shared wire belongs to neither."""
    one, two = (own_figures(solution, c) for c in LINES)
    resistance = 1 / (58e6 * AREA)
    assert one["own_loss"] == pytest.approx(100 * resistance, rel=1e-9)
    assert two["own_loss"] == pytest.approx(16 * resistance, rel=1e-9)
    assert one["own_resistance"] == pytest.approx(resistance, rel=1e-9)
    assert one["own_dc_resistance"] == pytest.approx(resistance, rel=1e-9)
    assert one["shared"] == two["shared"] == ("n",)
    assert 0 <= one["own_loss_error"] < 1e-6


def test_equal_sharing_counts_as_transposed() -> None:
    """Two wires of R and 4 R in turn: (R + 4 R) / 2 / 2 each half of the current."""
    wires = (rod("a", 0.004), rod("b", 0.002, 0.006), rod("n", 0.004, 0.012))
    circuit = Circuit("one", 10.0, ("a", "b"), ("n",), sharing="equal")
    found = own_figures(solve(Problem(wires, (circuit,)), 0.0), circuit)
    resistance = 1 / (58e6 * AREA)
    assert found["own_dc_resistance"] == pytest.approx(resistance * (1 + 4) / 4 + resistance, rel=1e-9)
    assert found["own_ratio"] == pytest.approx(1.0, rel=1e-9)


def test_phases_in_a_row_lose_what_the_series_of_multipoles_says() -> None:
    """20 mm rods 30 mm apart, 1 A of positive sequence at 1 kHz (row nwires-003), the middle one in the middle."""
    rods = tuple(rod(name, 0.02, 0.03 * k) for k, name in enumerate("abc"))
    lines = tuple(Circuit(name, TURN**k, (name,)) for k, name in enumerate("abc"))
    solution = solve(Problem(rods, lines), 1e3, accuracy=1e-5)
    for line, loss in zip(lines, (1.750821303e-4, 2.395115877e-4, 1.70716044e-4), strict=True):
        found = own_figures(solution, line)
        assert abs(found["own_resistance"] - loss) <= (found["own_resistance_error"] + 1e-8) * loss


def test_without_current_there_is_no_resistance(solution) -> None:
    idle = replace(LINES[1], current=0j)
    found = own_figures(solve(Problem(WIRES, (LINES[0], idle)), 0.0), idle)
    assert (found["own_resistance"], found["own_resistance_error"], found["own_ratio"]) == (None, None, None)
    assert found["own_loss"] == pytest.approx(0.0, abs=1e-12)
