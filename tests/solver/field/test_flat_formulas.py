"""Hand formulas of flat conductors against the reference rows: filaments and general finite elements."""

from __future__ import annotations

import math
import re

import pytest
from common import COPPER, SIGMA, bar, conductor, metal, pair
from reference_rows import rows, solved_again

from crosscurrent.geometries.plane.shapes import bar as box
from crosscurrent.solver.field.flat_formulas import facing_bars, stack_of_strips, strip_over_plane
from crosscurrent.solver.field.hand_formula import LARGEST, HandFormula
from crosscurrent.solver.field.problem import Circuit, Problem
from crosscurrent.solver.field.solve import solve


def pairs_of_the_rows():
    """Width, thickness, gap and frequency of every pair that faces, R or L, and its value."""
    again = solved_again()
    for row in rows("bars", 43, 105):
        size = re.match(r"pair (\d+)x(\d+) (?:facing )?gap (\d+) go-return.* f=([\d.]+) Hz", row.conditions)
        if size:
            width, thick, gap = (1e-3 * float(size[k]) for k in (1, 2, 3))
            yield row, width, thick, gap, float(size[4]), again.get(row.id, row.value)


def beside(found: HandFormula | None, row, value: float, at_rest: float) -> tuple[float, float] | None:
    """How far the formula is off, and its own error."""
    if found is None:
        return None
    if row.quantity == "Rac/Rdc":
        return abs(found.resistance / (value * at_rest) - 1), found.resistance_error
    return abs(found.inductance / value - 1), found.inductance_error


def test_bars_keep_their_own_errors_beside_the_rows() -> None:
    shown = 0
    for row, width, thick, gap, frequency, value in pairs_of_the_rows():
        two = pair(bar("a", width, thick), bar("b", width, thick, 0.0, thick + gap))
        for form in (facing_bars, stack_of_strips):
            off = beside(form(two, frequency), row, value, 2 / (SIGMA * width * thick))
            if off and off[1] <= LARGEST:
                assert off[0] < off[1], f"{row}: {form.__name__} is off by {off}"
                shown += 1
    assert shown >= 30


def test_bars_that_stand_upright_are_the_same() -> None:
    flat = pair(bar("a", 0.1, 0.006), bar("b", 0.1, 0.006, 0.0, 0.007))
    upright = pair(bar("a", 0.006, 0.1), bar("b", 0.006, 0.1, -0.007, 0.0))
    one, other = (facing_bars(p, 85e3) for p in (flat, upright))
    assert one is not None
    assert other is not None
    assert other.resistance == pytest.approx(one.resistance, rel=1e-9)


def test_a_strip_over_a_plane_without_resistance_is_half_of_two() -> None:
    """The plane is a mirror: the rows of two bars, gap 2 h, halved; 100 kHz, the plane wide and without resistance."""
    shown = 0
    for row, width, thick, gap, frequency, value in pairs_of_the_rows():
        if frequency < 1e5:
            continue
        plane = bar("b", 50 * width, 0.01, 0.0, -0.5 * (thick + gap + 0.01), metal(1e20))
        found = strip_over_plane(pair(bar("a", width, thick), plane), frequency)
        off = beside(found, row, value / 2, 2 / (SIGMA * width * thick))
        assert off is not None
        if off[1] <= LARGEST:
            assert off[0] < off[1], f"{row}: off by {off}"
            shown += 1
    assert shown >= 5


def stack(count: int, size: tuple[float, float], gap: float, *, alternate: bool = False, equal: bool = False):
    bars = tuple(bar(f"b{k}", *size, 0.0, k * (size[1] + gap)) for k in range(2 * count))
    names = [c.name for c in bars]
    out = names[::2] if alternate else names[:count]
    back = tuple(name for name in names if name not in out)
    return Problem(bars, (Circuit("feed", 1.0, tuple(out), back, "equal" if equal else "free"),))


def rounded(width: float) -> Problem:
    """Edges of 1.2 mm on bars of 5 mm, 2 mm apart."""
    return pair(*(conductor(n, box(width, 0.005, 0.0012), (0.0, 0.007 * k)) for k, n in enumerate("ab")))


def test_interleaved_plates_keep_their_own_error_beside_the_rows() -> None:
    plates = stack(2, (0.05, 0.002), 0.001, alternate=True, equal=True)
    for row in rows("bars", 116, 118):
        found = stack_of_strips(plates, row.number("f"))
        assert found is not None
        value = found.resistance * SIGMA * 0.05 * 0.002
        assert abs(value / row.value - 1) < found.resistance_error, row.id


@pytest.mark.parametrize(
    ("form", "problem", "frequency"),
    [
        (stack_of_strips, stack(3, (0.05, 0.0003), 0.0001), 20e3),
        (stack_of_strips, stack(3, (0.05, 0.0003), 0.0001, equal=True), 50e3),
        (facing_bars, pair(bar("a", 0.05, 0.005), bar("b", 0.05, 0.005, 0.0, 0.006)), 10e3),
        (facing_bars, rounded(0.06), 20e3),
        (strip_over_plane, pair(bar("a", 0.05, 0.003), bar("b", 0.1, 0.003, 0.01, 0.005)), 50e3),
    ],
)
def test_the_solver_lies_within_the_error_of_the_formula(form, problem: Problem, frequency: float) -> None:
    said: HandFormula = form(problem, frequency)
    voltage = solve(problem, frequency, accuracy=1e-3).fine.circuit(problem.circuits[0])
    assert abs(said.resistance / voltage.real - 1) < said.resistance_error < LARGEST
    assert abs(said.inductance * 2 * math.pi * frequency / voltage.imag - 1) < said.inductance_error


def test_what_does_not_lie_so_has_no_formula() -> None:
    lone, idle = bar("a", 0.05, 0.003), bar("c", 0.05, 0.003, 0.0, 0.05)
    beside_it, wider = bar("b", 0.05, 0.003, 0.06, 0.0), bar("b", 0.06, 0.003, 0.01, 0.01)
    over, steel = (bar("b", 0.05, 0.003, 0.0, 0.004, material) for material in (COPPER, metal(6e6, 100.0)))
    third = Problem((lone, over, idle), pair(lone, over).circuits)
    for problem in (pair(lone, beside_it), pair(lone, wider), pair(lone, steel), third):
        assert facing_bars(problem, 50e3) is None
        assert stack_of_strips(problem, 50e3) is None
    assert strip_over_plane(pair(lone, wider), 50e3) is None  # it stands out over one side
    assert facing_bars(pair(lone, bar("b", 0.05, 0.004, 0.0, 0.005)), 50e3) is None  # of unlike thickness
