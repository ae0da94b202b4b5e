"""R(f) and L(f) over ten decades: no jump where the recipe of the mesh changes.

CROSSCURRENT_POINTS asks for another number of frequencies than 200.
"""

import math
import os

import numpy as np
from reference_sections import bar, pair

from crosscurrent.solver.solve import solve

MM = 1e-3
POINTS = int(os.environ.get("CROSSCURRENT_POINTS", "200"))
AROUND = 3  # neighbours on each side that foretell a point


def deviation(x, y):
    """How far every inner point lies from a polynomial through its neighbours, the same amount of neighbours' bars."""
    out = np.zeros(len(y))
    for k in range(AROUND, len(y) - AROUND):
        near = [j for j in range(k - AROUND, k + AROUND + 1) if j != k]
        weights = [math.prod((x[k] - x[m]) / (x[j] - x[m]) for m in near if m != j) for j in near]
        out[k] = y[k] - np.dot(weights, y[near])
    return out


def test_ten_decades_without_a_jump():
    """Two sharp bars 20 x 3 mm, 1 mm apart, 0.1 Hz to 1 GHz: skin from 200 mm to 2 um."""
    problem = pair(bar("go", 20 * MM, 3 * MM, 0, 2 * MM), bar("back", 20 * MM, 3 * MM, 0, -2 * MM))
    circuit = problem.circuits[0]
    frequencies = np.geomspace(0.1, 1e9, POINTS)
    solutions = [solve(problem, float(f)) for f in frequencies]
    x = np.log(frequencies)
    bars = np.array([s.circuit_errors(circuit) for s in solutions])
    assert bars[:, 0].max() <= 1e-3
    values = {
        "R": (np.log([s.fine.circuit(circuit).real for s in solutions]), bars[:, 0]),
        "L": (np.log([s.fine.inductance(circuit) for s in solutions]), bars[:, 1]),
    }
    for name, (y, width) in values.items():
        off = np.abs(deviation(x, y))
        # the curve itself leaves the polynomial of degree 5 by its sixth difference
        room = 1e-4 * (120 / POINTS) ** 6 + width + np.convolve(width, np.ones(2 * AROUND + 1), "same")
        worst = int(np.argmax(off / room))
        assert off[worst] <= room[worst], (name, frequencies[worst], off[worst], room[worst])
        assert off.max() <= 5e-4, (name, frequencies[int(off.argmax())])
    assert (np.diff(values["R"][0]) > 0).all()  # R only rises
    assert (np.diff(values["L"][0]) < 0).all()  # L only falls
