"""Round wires, tubes, coaxial pairs: every row against its Bessel formula's value (Kelvin 1889; Schelkunoff 1934)."""

import math

import pytest
from common import (
    MU0,
    SIGMA,
    alone,
    conductor,
    driven,
    frequency_for,
    inductance,
    loss,
    pair,
    resistance,
    return_radius,
    rod,
    scaled,
)
from reference_rows import Outcome, judge, rows, thinned

from crosscurrent.geometries.plane import shapes
from crosscurrent.solver.field.problem import Circuit, Problem
from crosscurrent.solver.field.solve import solve

RADIUS = 1e-3


def ratio(row):
    """Radius over depth: x = sqrt2 a/delta, or as it stands."""
    return row.number("a/delta") if "a/delta=" in row.conditions else row.number("x") / math.sqrt(2)


def picked_wires():
    """Ends and middle of both columns, and the row published with four digits."""
    by_depth = [row for row in rows("round") if "a/delta=" in row.conditions]
    by_x = [row for row in rows("round") if row not in by_depth]
    published = [row for row in by_x if row.quantity == "R/R0-1"]
    columns = thinned(by_depth, 22, "a/delta", keep=4), thinned(by_x, 37, "x", keep=5)
    return {row.id: row for rows_of in (*columns, published) for row in rows_of}.values()


def test_wire():
    solved, outcomes = {}, []
    picked = picked_wires()
    for row in picked:
        a = ratio(row)
        if a not in solved:
            solved[a] = solve(alone(rod("wire", 2 * RADIUS)), frequency_for(RADIUS / a))
        solution = solved[a]
        if row.quantity == "Li/Li0":
            outside = MU0 / (2 * math.pi) * math.log(return_radius(solution) / RADIUS)
            found = scaled(inductance(solution), 8 * math.pi / MU0, outside)
        else:
            found = scaled(resistance(solution), SIGMA * math.pi * RADIUS**2)
        if row.quantity == "R/R0-1":
            # published with four digits
            outcomes.append(Outcome(row, found[0] - 1, found[1], 5e-4, 5e-4))
        else:
            outcomes.append(Outcome(row, *found))
    judge(outcomes, len(picked))


def tube_with_wire(inner, thickness, frequency):
    """A tube with a thin wire on its axis: the return inside; driven alone, the wire does not matter."""
    tube = conductor("tube", shapes.tube(2 * RADIUS, thickness))
    wire = rod("wire", 0.5 * inner)
    return solve(Problem((tube, wire), (Circuit("loop", 1.0, ("tube",), ("wire",)),)), frequency)


def test_tube_with_its_return_outside_and_inside():
    solved, outcomes = {}, []
    picked = thinned(rows("tube", 1, 96), 96, "tube b/a", "t/delta")
    for row in picked:
        hollow = row.number("tube b/a")
        depths = row.number("t/delta")
        inner, wall = hollow * RADIUS, (1 - hollow) * RADIUS
        key = hollow, depths
        if key not in solved:
            solved[key] = tube_with_wire(inner, wall, frequency_for(wall / depths))
        inside = solved[key]
        outside = driven(inside, Circuit("out", 1.0, ("tube",)))
        resting = SIGMA * math.pi * (RADIUS**2 - inner**2)
        if row.quantity == "Li/Li0":
            # direct-current inductance inside a tube: the field of a uniform density between b and a
            b = hollow
            still = (0.25 * (1 - b**4) - b**2 * (1 - b**2) - b**4 * math.log(b)) / (1 - b**2) ** 2 * MU0 / (2 * math.pi)
            beyond = MU0 / (2 * math.pi) * math.log(return_radius(outside) / RADIUS)
            found = scaled(inductance(outside), 1 / still, beyond)
        elif "return outside" in row.conditions:
            found = scaled(resistance(outside), resting)
        else:
            found = scaled(loss(inside, 0), resting)
        outcomes.append(Outcome(row, *found))
    judge(outcomes, len(picked))


def test_tubes_of_stock_sizes():
    picked = thinned(rows("tube", 97, 120), 24, "f")
    outcomes = []
    for row in picked:
        words = row.conditions.split()
        shape = shapes.tube(float(words[words.index("OD") + 1]), float(words[words.index("wall") + 1]))
        outcomes.append(Outcome(row, *resistance(solve(alone(conductor("tube", shape)), row.number("f")))))
    judge(outcomes, len(picked))


@pytest.mark.parametrize(("topic", "offset", "total"), [("coax", 0.0, 16), ("ecc", 1.5e-3, 15)])
def test_coaxial_pair_centred_and_not(topic, offset, total):
    solved, outcomes = {}, []
    picked = thinned(rows(topic), total, "f", keep=4)
    for row in picked:
        f = row.number("f")
        if f not in solved:
            shield = conductor("shield", shapes.tube(8e-3, 0.5e-3))
            solved[f] = solve(pair(rod("wire", 2e-3, offset), shield), f)
        solution = solved[f]
        if row.quantity == "L loop":
            found = inductance(solution)
        else:
            found = resistance(solution) if row.quantity == "R loop" else loss(solution, 0)
        outcomes.append(Outcome(row, *found))
    judge(outcomes, len(picked))
