"""Cylinders in a transverse field: loss of a wire, field inside a tube (Bessel functions of order 1).

The field is that of a go-return pair of thin wires far to either side. Around the axis only the first harmonic of the
potential matters: outside the cylinder it is (alpha r + beta / r) cos(angle). beta follows exactly from the current
in the cylinder, alpha then from the potential on its surface, so the pair need be neither thin nor far.
"""

import math

import numpy as np
from common import MU0, conductor, first_harmonic, frequency_for, loss, rod
from reference_rows import Outcome, judge, rows, thinned

from crosscurrent.geometries.plane import shapes
from crosscurrent.solver.field.problem import Circuit, Problem
from crosscurrent.solver.field.solve import solve

RADIUS = 1e-3
FAR = 40 * RADIUS


def in_field(shape, depth):
    """A cylinder in no circuit between two far wires."""
    cylinder = conductor("cylinder", shape)
    wires = rod("east", RADIUS, FAR), rod("west", RADIUS, -FAR)
    problem = Problem((cylinder, *wires), (Circuit("pair", 1.0, ("east",), ("west",)),))
    return solve(problem, frequency_for(depth))


def applied(flow):
    """B of the first harmonic that is applied to the cylinder [T]."""
    d = flow.discretisation
    x = d.mass @ node_x(d)
    rows = np.isin(d.mesh.region, 0)
    inside = np.zeros(d.elements.count, bool)
    inside[d.elements.dofs[rows]] = True
    moment = complex((x * flow.electric)[inside].sum())  # integral of J x
    beta = MU0 / (2 * math.pi) * moment
    return (first_harmonic(flow, RADIUS) - beta / RADIUS) / RADIUS


def node_x(d):
    """x at every unknown of the metal: the coordinate is a polynomial, up to the curved sides."""
    from crosscurrent.geometries.meshing.lattice import lattice

    places = lattice(d.order)[:, 1:] / d.order
    x = np.zeros(d.elements.count)
    x[d.elements.dofs] = d.elements.positions(np.arange(len(d.mesh.triangles)), places)[..., 0]
    return x


def test_loss_of_a_wire():
    outcomes = []
    for row in rows("field"):
        solution = in_field(shapes.round_bar(2 * RADIUS), RADIUS / row.number("a/delta"))
        b = abs(applied(solution.fine))
        unit = math.pi * 2 * math.pi * solution.frequency * b**2 * RADIUS**2 / MU0
        value, width = loss(solution, 0)
        outcomes.append(Outcome(row, value / unit, width / unit))
    judge(outcomes, 8)


def test_field_inside_a_tube():
    outcomes = []
    picked = thinned(rows("tube", 121, 138), 18, "tube b/a", "t/delta")
    for row in picked:
        hollow = row.number("tube b/a")
        wall = (1 - hollow) * RADIUS
        solution = in_field(shapes.tube(2 * RADIUS, wall), wall / row.number("t/delta"))
        inner = hollow * RADIUS
        screened = first_harmonic(solution.fine, inner) / inner / applied(solution.fine)
        outcomes.append(Outcome(row, abs(screened)))
        phase = float(row.conditions.split("phase ")[1].split()[0])
        assert abs((math.degrees(np.angle(screened)) - phase + 180) % 360 - 180) < 0.01, row.id
    judge(outcomes, len(picked))
