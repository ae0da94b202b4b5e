"""Facing wide plates and stacks of layers against one-dimensional diffusion (Rayleigh 1886; P. L. Dowell 1966).

Real plates have edges. Driven by given voltages, the current and loss of a stack of width w are A w + B + C ln w and
smaller, D / w: of three widths w, 2 w, 4 w the combination f(4w) - 2 f(2w) + f(w) leaves A w and D / 4 w.
"""

import math

import numpy as np
from common import MU0, SIGMA, bar, frequency_for
from reference_rows import Outcome, judge, rows, thinned

from crosscurrent.solver.field.problem import Circuit, Problem
from crosscurrent.solver.field.solve import solve
from crosscurrent.solver.field.solved_flow import SolvedFlow
from crosscurrent.solver.metals import depth

THICK = 1e-3
GAP = 0.05e-3
WIDTH = 150e-3


class WideStack:
    """Three plates of thickness t with narrow gaps at t / depth, per metre of width, edges taken off."""

    def __init__(self, depths):
        self.frequency = frequency_for(THICK / depths)
        self.solutions = [self._solved(k * WIDTH) for k in (1, 2, 4)]
        self.admittance = self._wide([np.linalg.inv(self._loops(s)) for s in self.solutions])

    def _solved(self, width):
        plates = tuple(bar(f"p{k}", width, THICK, 0.0, k * (THICK + GAP)) for k in range(3))
        return solve(Problem(plates, (Circuit("loop", 1.0, ("p1",), ("p2",)),)), self.frequency, accuracy=1e-4)

    @staticmethod
    def _wide(of_widths):
        one, two, four = of_widths
        return (four - 2 * two + one) / WIDTH

    @staticmethod
    def _loops(solution):
        """Impedance of the loops p0-p2 and p1-p2."""
        step = np.array([[1, 0, -1], [0, 1, -1]])
        return step @ solution.fine.fields.impedance @ step.T

    def loop(self, *currents):
        """Voltages of the two loops for the currents per width of p0 and p1."""
        return np.linalg.solve(self.admittance, np.array(currents, dtype=complex))

    def middle_loss(self, *currents):
        """Loss of p1 per width for currents per width of p0 and p1, p2 carrying them back."""
        voltages = self.loop(*currents)
        return self._wide([self._loss_of_middle(s, voltages) for s in self.solutions])

    def _loss_of_middle(self, solution, voltages):
        p0, p1 = np.linalg.solve(self._loops(solution), voltages)
        currents = np.array([p0, p1, -p0 - p1])
        fields = solution.fine.fields
        return SolvedFlow(solution.problem, fields, currents, fields.impedance @ currents).powers.real[1]


def test_plates_and_layers():
    stacks, outcomes = {}, []
    picked = thinned(rows("plates"), 41, "t/delta", keep=4)
    for row in picked:
        depths = float(row.conditions.split("t/delta=")[1])
        if depths not in stacks:
            stacks[depths] = WideStack(depths)
        stack = stacks[depths]
        resting = 1 / (SIGMA * THICK)
        if row.quantity.startswith("Li"):
            across = stack.loop(0, 1)[1].imag / (2 * math.pi * stack.frequency)
            found = (across - MU0 * GAP) / 2 / (MU0 * THICK / 3)
        elif "isolated" in row.conditions:
            found = stack.middle_loss(-0.5, 1) / resting
        else:
            layer = row.number("layer m") if "layer" in row.quantity else 1
            found = stack.middle_loss(layer - 1, 1) / resting
        outcomes.append(Outcome(row, found))
    judge(outcomes, len(picked))


def test_one_layer_by_its_formula():
    for row in rows("plates"):
        if row.quantity == "Rac/Rdc" or "m=1," in row.conditions:
            depths = float(row.conditions.split("t/delta=")[1])
            assert math.isclose(depths * depth.wall_factor(depths), row.value, rel_tol=1e-9), row.id
