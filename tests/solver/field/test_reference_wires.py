"""Two and more round wires: every row against the multipole series' value."""

import math
import re
from functools import cache

from common import (
    MU0,
    SIGMA,
    TURN,
    driven,
    frequency_for,
    inductance,
    loss,
    metal,
    pair,
    resistance,
    rod,
    scaled,
)
from reference_rows import Outcome, judge, rows, thinned

from crosscurrent.solver.field.problem import Circuit, Problem
from crosscurrent.solver.field.solve import solve

RADIUS = 1e-3


@cache
def two_wires(distance, depths):
    """Two copper wires at a distance in diameters, solved at radius / depth."""
    d = 2 * RADIUS * distance
    return solve(pair(rod("go", 2 * RADIUS, -d / 2), rod("back", 2 * RADIUS, d / 2)), frequency_for(RADIUS / depths))


def test_two_wires_both_ways():
    resting = SIGMA * math.pi * RADIUS**2
    picked = thinned(rows("wires2", 1, 168), 168, "D/2a", "a/delta")
    outcomes = []
    for row in picked:
        solution = two_wires(row.number("D/2a"), row.number("a/delta"))
        if row.quantity.startswith("L_loop"):
            found = scaled(inductance(solution), math.pi / MU0)
        elif "go-return" in row.quantity:
            found = scaled(resistance(solution), resting / 2)
        else:
            # two equal wires in parallel: each carries half
            same = driven(solution, Circuit("both", 2.0, ("go", "back")))
            found = scaled(resistance(same), 2 * resting)
        outcomes.append(Outcome(row, *found))
    judge(outcomes, len(picked))


def test_limit_of_a_thin_skin():
    """The factor over one wire alone nears the limit in proportion to depth / radius."""
    for row in thinned(rows("wires2", 169, 180), 12, "D/2a"):
        distance = row.number("D/2a")
        offs = []
        for depths in (100.0, 1000.0):
            single = SIGMA * math.pi * RADIUS**2 / (depths / 2 + 0.25 + 3 / 32 / depths)
            solution = two_wires(distance, depths)
            if "same direction" in row.quantity:
                found = 2 * single * resistance(driven(solution, Circuit("both", 2.0, ("go", "back"))))[0]
            else:
                found = single / 2 * resistance(solution)[0]
            offs.append(abs(found / row.value - 1))
        assert offs[0] < 0.03
        assert offs[1] < 0.11 * offs[0] + 2e-5, row


def test_force_between_wires():
    picked = thinned(rows("force", 1, 24), 24, "D/2a", "a/delta")
    outcomes = []
    for row in picked:
        distance = row.number("D/2a")
        solution = two_wires(distance, row.number("a/delta"))
        unit = MU0 / (2 * math.pi * 2 * RADIUS * distance)
        on_go, on_back = solution.fine.force
        assert abs(on_go[1]) < 1e-4 * unit
        assert abs(on_go[0] + on_back[0]) < 1e-4 * unit
        outcomes.append(Outcome(row, -on_go[0] / unit))
    judge(outcomes, len(picked))


def hexagon(rings, pitch):
    """Centres of strands around a middle one, ring by ring."""
    places = [(0.0, 0.0)]
    corner = [(math.cos(k * math.pi / 3), math.sin(k * math.pi / 3)) for k in range(6)]
    for ring in range(1, rings + 1):
        for k in range(6):
            (x0, y0), (x1, y1) = corner[k], corner[(k + 1) % 6]
            for step in range(ring):
                u = step / ring
                places.append((ring * pitch * (x0 + u * (x1 - x0)), ring * pitch * (y0 + u * (y1 - y0))))
    return places


def several_wires(text):
    """The section a row describes, as a problem."""
    if "3ph" in text:
        s = 30e-3
        places = [(-s, 0), (0, 0), (s, 0)] if "flat" in text else [(0, 0), (s, 0), (s / 2, s * math.sqrt(0.75))]
        rods = [rod(n, 20e-3, *p) for n, p in zip("ABC", places, strict=True)]
        return Problem(tuple(rods), tuple(Circuit(n, TURN**k, (n,)) for k, n in enumerate("ABC")))
    if "idle" in text:
        idle = rod("idle", 10e-3, 30e-3, material=metal(6e6, 50.0) if "steel" in text else metal(SIGMA))
        return Problem(
            (rod("go", 10e-3, -10e-3), rod("back", 10e-3, 10e-3), idle), (Circuit("loop", 1.0, ("go",), ("back",)),)
        )
    if "Al(35.4" in text:
        return pair(rod("go", 10e-3), rod("back", 16e-3, 15e-3, material=metal(35.4e6)))
    if "4 rods" in text:
        h = 7.5e-3
        corners = {"a": (-h, -h), "b": (h, -h), "c": (h, h), "d": (-h, h)}
        rods = tuple(rod(n, 10e-3, *p) for n, p in corners.items())
        return Problem(rods, (Circuit("one", 1.0, ("a",), ("b",)), Circuit("two", 1.0, ("c",), ("d",))))
    strands = tuple(rod(f"s{k}", 0.1e-3, *p) for k, p in enumerate(hexagon(1 if text.startswith("7") else 2, 0.12e-3)))
    sharing = "equal" if "equal currents" in text else "free"
    return Problem(strands, (Circuit("bundle", 1.0, tuple(s.name for s in strands), sharing=sharing),))


def test_several_wires():
    outcomes = []
    solved = {}
    for row in rows("nwires"):
        problem = several_wires(row.conditions)
        key = re.sub(r"\(.*|equal currents.*|parallel.*", "", row.conditions), row.number("f")
        if "strands" not in row.conditions or key not in solved:
            solved[key] = solve(problem, row.number("f"))
        solution = driven(solved[key], *problem.circuits)
        outcomes.append(Outcome(row, *loss(solution)))
        check_each_wire(row, solution)
    judge(outcomes, 31)


def check_each_wire(row, solution):
    """The row's source lists the loss of every wire, or the currents of a bundle's strands."""
    listed = re.search(r"\|I centre\|=([\d.]+) \|I outer\|=([\d.]+)", row.source)
    if listed:
        middle, outer = abs(solution.fine.currents[:2])
        assert math.isclose(middle, float(listed[1]), rel_tol=1e-4)
        assert math.isclose(outer, float(listed[2]), rel_tol=1e-4)
        return
    losses = sorted(float(v) for v in row.source.split("per wire:")[1].split())
    found = sorted(solution.fine.powers.real)[-len(losses) :]
    total = sum(losses)
    for one, other in zip(found, losses, strict=True):
        assert abs(one - other) < 1e-4 * total, row.id
