"""Reference values of the half plane r, z as rows, and what stands in such sections."""

import csv
import math
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import numpy as np

from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.shapes import Shape, bar, round_bar
from crosscurrent.solver.field.problem import Circuit, Conductor, Problem
from crosscurrent.solver.field.solution import DirectSolution
from crosscurrent.solver.metals.depth import MU0
from crosscurrent.solver.metals.materials import Material
from crosscurrent.solver.metals.strands import Strands

TABLE = Path(__file__).parents[0] / "references" / "axial_values.csv"
SIGMA = 58e6
COPPER = Material("copper", SIGMA)
FILL, MANY = 0.5, 10**8  # strands so fine that their own inductance is 1e-9 of a turn's


@dataclass(frozen=True)
class AxialRow:
    """One value computed outside the project."""

    id: str
    quantity: str
    conditions: str
    value: float
    obtained_by: str
    source: str

    def off(self, found: float) -> float:
        """Relative difference from it."""
        return abs(found / self.value - 1)


@cache
def axial_rows() -> dict[str, AxialRow]:
    """By the last three digits of their ids."""
    with TABLE.open(newline="") as file:
        lines = list(csv.DictReader(file))
    names = ("id", "quantity", "conditions", "value", "obtained_by", "source (M: from memory)")
    found = [AxialRow(*(float(line[n]) if n == "value" else line[n] for n in names)) for line in lines]
    return {row.id[-3:]: row for row in found}


def turn(name: str, radius: float, height: float, wire: float, material: Material = COPPER) -> Conductor:
    """A turn of round wire of a radius [m]."""
    return Conductor(Part(name, round_bar(2 * wire).placed((radius, height))), material)


def filament(name: str, radius: float, height: float, wire: float, frequency: float) -> Conductor:
    """A turn whose metal is so poor that current flows in it as at rest, a hundredth of its skin thick."""
    poor = Material("poor", 1 / (math.pi * frequency * MU0 * (100 * wire) ** 2))
    return turn(name, radius, height, wire, poor)


def solid(name: str, shape: Shape) -> Conductor:
    return Conductor(Part(name, shape), COPPER)


def evenly(name: str, shape: Shape) -> Conductor:
    """Transposed strands, which spread the current evenly over a shape."""
    part = Part(name, shape)
    return Conductor(part, COPPER, strands=Strands(MANY, math.sqrt(4 * FILL * part.area / (math.pi * MANY))))


def rectangle(inner: float, outer: float, height: float) -> Shape:
    """A turn of rectangular section [m], its middle at z = 0."""
    return bar(outer - inner, height).placed((0.5 * (inner + outer), 0.0))


def on_axis(radius: float, height: float, middle: float = 0.0) -> Shape:
    """A cylinder on the axis."""
    return bar(2 * radius, height).placed((0.0, middle))


def fed(*conductors: Conductor, current: float = 1.0) -> Problem:
    """The first carries the current."""
    return Problem(conductors, (Circuit("coil", current, (conductors[0].name,)),), axial=True)


def uniform_field(frequency: float, sphere: float, *within: Conductor, count: int = 4) -> Problem:
    """A field of 1 T rms along z round the middle, exact but for (distance / sphere)^(2 count).

    A current K0 sin t on a sphere has inside the uniform field (2/3) mu0 K0 (J. C. Maxwell, Treatise, art. 672, M). Its
    potential's harmonic n goes as the integral of (1 - x^2) P_n'(x) over x = cos t; turns at the nodes of the Gauss
    quadrature with the weight 1 - x^2 give all of them exactly up to n = 2 count: one T, and nothing else.
    """
    from scipy.special import roots_jacobi

    nodes, weights = roots_jacobi(count, 1, 1)
    turns, circuits = [], []
    for k, (x, w) in enumerate(zip(nodes.tolist(), weights.tolist(), strict=True)):
        s = math.sqrt(1 - x**2)
        name = f"turn {k}"
        turns.append(filament(name, sphere * s, sphere * x, 4e-4 * sphere, frequency))
        # I s P_n^1 sums to that of the sheet where I s^2 is the weight of the rule
        circuits.append(Circuit(f"circuit {k}", 1.5 / MU0 * sphere * w / s**2, (name,)))
    return Problem((*turns, *within), tuple(circuits), axial=True)


def inductance(solution: DirectSolution) -> float:
    return solution.fine.inductance(solution.problem.circuits[0])


def impedance(solution: DirectSolution) -> complex:
    circuit = solution.problem.circuits[0]
    return complex(solution.fine.circuit(circuit) / circuit.current)


def unknowns(solution: DirectSolution) -> int:
    return solution.fine.discretisation.elements.count


def balance(solution: DirectSolution) -> float:
    """Relative difference of the power at the terminals and the losses."""
    fine = solution.fine
    put_in = sum((fine.circuit(c) * np.conj(c.current)).real for c in solution.problem.circuits)
    lost = float(fine.powers.real.sum())
    return abs(put_in / lost - 1)


def frequency_for(depth: float, sigma: float = SIGMA) -> float:
    """At which metal has a skin depth [m]."""
    return 1 / (math.pi * depth**2 * MU0 * sigma)
