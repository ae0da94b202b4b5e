"""Thin strips, alone and facing (Legendre-Galerkin for strips of no thickness).

A real strip is thicker: its answer is taken at two thicknesses, thin against the skin too, and followed to none.
"""

import math

from common import MU0, SIGMA, alone, bar, inductance, pair, resistance, scaled
from reference_rows import TIGHT, Outcome, judge, rows, thinned

from crosscurrent.solver.field.problem import Problem
from crosscurrent.solver.field.solve import solve

WIDTH = 50e-3


def thin(q):
    """Two thicknesses, at most a seventh of the skin depth sqrt(t w / q)."""
    t = WIDTH * min(1e-4, 0.02 / q)
    return t, t / 2


def frequency(q, thickness):
    """q = t w / delta^2."""
    return q / (math.pi * MU0 * SIGMA * thickness * WIDTH)


def to_no_thickness(thicker, thinner):
    """Straight line through two thicknesses; half its correction counts as the error of the line."""
    found = 2 * thinner[0] - thicker[0]
    return found, 2 * thinner[1] + thicker[1] + 0.5 * abs(thinner[0] - thicker[0])


def test_isolated_strip():
    outcomes = []
    picked = thinned(rows("strip", 1, 11), 11, "t*w/delta^2", keep=4)
    for row in picked:
        q = row.number("t*w/delta^2")
        solved = [(t, solve(alone(bar("strip", WIDTH, t)), frequency(q, t))) for t in thin(q)]
        both = [scaled(resistance(s), SIGMA * t * WIDTH) for t, s in solved]
        outcomes.append(Outcome(row, *to_no_thickness(*both)))
    judge(outcomes, len(picked))


def facing(apart, thickness) -> Problem:
    """Two strips whose middle planes are `apart` widths apart: the gap of the rows, which have no thickness."""
    y = apart * WIDTH
    return pair(bar("go", WIDTH, thickness), bar("back", WIDTH, thickness, 0.0, y))


def test_facing_strips():
    solved, outcomes = {}, []
    picked = thinned(rows("strip", 12, 71), 60, "gap/w", "t*w/delta^2")
    for row in picked:
        apart, q = row.number("gap/w"), row.number("t*w/delta^2")
        if (apart, q) not in solved:
            solved[apart, q] = [(t, solve(facing(apart, t), frequency(q, t), accuracy=TIGHT)) for t in thin(q)]
        if row.quantity == "R/R0":
            both = [scaled(resistance(s), SIGMA * t * WIDTH / 2) for t, s in solved[apart, q]]
        else:
            both = [scaled(inductance(s), 1 / MU0) for _, s in solved[apart, q]]
        outcomes.append(Outcome(row, *to_no_thickness(*both), tolerance=TIGHT))
    judge(outcomes, len(picked))
