"""R(f) and L(f) over the decades: no jump where the options of the mesh change.

Of 120 frequencies from 0.1 Hz to 1 GHz the suite takes those at which layers come, grow thin and leave the core without
field; CROSSCURRENT_EXAMPLES=3000 takes all.
"""

import math
import os

import numpy as np
from common import bar, pair

from crosscurrent.solver.field.solve import solve

MM = 1e-3
EVERY = np.geomspace(0.1, 1e9, 120)
FREQUENCIES = EVERY if "CROSSCURRENT_EXAMPLES" in os.environ else EVERY[(EVERY > 100) & (EVERY < 1e7)]
AROUND = 3  # neighbours on each side that foretell a point


def deviation(x, y):
    """How far every inner point lies from a polynomial through its neighbours, the same amount of neighbours' bars."""
    out = np.zeros(len(y))
    for k in range(AROUND, len(y) - AROUND):
        near = [j for j in range(k - AROUND, k + AROUND + 1) if j != k]
        weights = [math.prod((x[k] - x[m]) / (x[j] - x[m]) for m in near if m != j) for j in near]
        out[k] = y[k] - np.dot(weights, y[near])
    return out


def test_decades_without_a_jump():
    """Two sharp bars 20 x 3 mm, 1 mm apart: skin from 7 mm to 20 um, of all frequencies from 200 mm to 2 um."""
    problem = pair(bar("go", 20 * MM, 3 * MM, 0, 2 * MM), bar("back", 20 * MM, 3 * MM, 0, -2 * MM))
    circuit = problem.circuits[0]
    solutions = [solve(problem, float(f)) for f in FREQUENCIES]
    x = np.log(FREQUENCIES)
    bars = np.array([s.circuit_errors(circuit) for s in solutions])
    assert bars[:, 0].max() <= 1e-3
    values = {
        "R": (np.log([s.fine.circuit(circuit).real for s in solutions]), bars[:, 0]),
        "L": (np.log([s.fine.inductance(circuit) for s in solutions]), bars[:, 1]),
    }
    for name, (y, width) in values.items():
        off = np.abs(deviation(x, y))
        # the curve itself leaves the polynomial of degree 5 by its sixth difference
        room = 1e-4 + width + np.convolve(width, np.ones(2 * AROUND + 1), "same")
        worst = int(np.argmax(off / room))
        assert off[worst] <= room[worst], (name, FREQUENCIES[worst], off[worst], room[worst])
        assert off.max() <= 5e-4, (name, FREQUENCIES[int(off.argmax())])
    assert (np.diff(values["R"][0]) > 0).all()  # R only rises
    assert (np.diff(values["L"][0]) < 0).all()  # L only falls
