"""A ladder as a subcircuit in the plain syntax that circuit simulators share: R, L and K elements, nothing else."""

from __future__ import annotations

import re
from collections.abc import Sequence

import numpy as np

from crosscurrent.solver.band.ladder import Ladder

WIDTH = 100  # of a comment
NOTHING = 1e-9  # coupling that is left out


def subcircuit(ladder: Ladder, circuits: Sequence[str], *, length: float = 1.0, heading: Sequence[str] = ()) -> str:
    """The netlist of a run of conductors: a port of two nodes for each circuit, in their order.

    One circuit: a chain of resistors in parallel with inductors. Several: an inductor for each, coupled to each other
    and to closed loops of a resistor and an inductor, which stand for the eddies.

    Parameters
    ----------
    ladder : Ladder
        Per metre.
    circuits : sequence of str
        A name for each port; characters that a simulator may not take become underlines.
    length : float
        Of the run [m].
    heading : sequence of str
        Lines of comment at the top.

    Examples
    --------
    >>> import numpy as np
    >>> from crosscurrent.solver.band.foster import FosterForm
    >>> one = np.eye(1)
    >>> foster = FosterForm(one, 1e3 * np.ones(1), 1e-7 * one, np.array([1e4]), np.array([[0.1]]))
    >>> print(subcircuit(Ladder(foster, 50.0, 1e5, 0.0, 0.0), ["feed 1"], length=2.0), end="")
    .subckt run feed_1 feed_1_end
    R0 feed_1 n0 0.002
    L0 n0 n1 2e-07
    R1 n1 feed_1_end 0.02
    L1 n1 feed_1_end 2e-06
    .ends run
    """
    names = _nodes(circuits)
    lines = [f"* {part}" for line in heading for part in _wrapped(line)]
    lines.append(".subckt run " + " ".join(f"{name} {name}_end" for name in names))
    lines += _alone(ladder, names[0], length) if len(names) == 1 else _coupled(ladder, names, length)
    return "\n".join([*lines, ".ends run", ""])


def _alone(ladder: Ladder, name: str, length: float) -> list[str]:
    foster = ladder.foster
    nodes = [*(f"n{k}" for k in range(ladder.cells + 1)), f"{name}_end"]
    lines = [
        f"R0 {name} {nodes[0]} {_number(length / foster.conductance[0])}",
        f"L0 {nodes[0]} {nodes[1]} {_number(length * foster.surface_inductance[0, 0])}",
    ]
    for k, (rate, vector) in enumerate(zip(foster.rates, foster.coupling, strict=True), 1):
        resistance = length * vector[0] ** 2
        lines.append(f"R{k} {nodes[k]} {nodes[k + 1]} {_number(resistance)}")
        lines.append(f"L{k} {nodes[k]} {nodes[k + 1]} {_number(resistance / rate)}")
    return lines


def _coupled(ladder: Ladder, names: Sequence[str], length: float) -> list[str]:
    """Loops of inductance b.b / w and resistance b.b: seen through mutual inductances they are the cells."""
    foster = ladder.foster
    resting = length * foster.inductance(0.0)[0]
    lines = []
    for j, name in enumerate(names):
        lines.append(f"R_{name} {name} {name}_in {_number(length / foster.conductance[j])}")
        lines.append(f"L_{name} {name}_in {name}_end {_number(resting[j, j])}")
    for j, name in enumerate(names):
        for i, other in enumerate(names[:j]):
            factor = resting[i, j] / np.sqrt(resting[i, i] * resting[j, j])
            lines.append(f"K_{other}_{name} L_{other} L_{name} {_number(factor)}")
    for k, (rate, vector) in enumerate(zip(foster.rates, foster.coupling, strict=True), 1):
        resistance = length * float(vector @ vector)
        lines.append(f"R{k} loop{k} 0 {_number(resistance)}")
        lines.append(f"L{k} loop{k} 0 {_number(resistance / rate)}")
        for j, name in enumerate(names):
            mutual = length * vector[j] * np.linalg.norm(vector) / rate
            factor = mutual / np.sqrt(resting[j, j] * resistance / rate)
            if abs(factor) > NOTHING:
                lines.append(f"K{k}_{name} L_{name} L{k} {_number(factor)}")
    return lines


def _number(value: float) -> str:
    return f"{value:.12g}"


def _nodes(circuits: Sequence[str]) -> list[str]:
    """Names of letters, digits and underlines, all different whatever their case."""
    found: list[str] = []
    for number, circuit in enumerate(circuits, 1):
        name = re.sub(r"[^a-z0-9]+", "_", circuit.lower()).strip("_") or f"port_{number}"
        taken = {*found, *(f"{f}_{end}" for f in found for end in ("end", "in"))}
        while name in taken or name[0].isdigit() or re.fullmatch(r"gnd|(n|loop)\d+", name):
            name = f"port_{number}_{name}"
        found.append(name)
    return found


def _wrapped(line: str) -> list[str]:
    """A line of comment in printable ASCII, broken where it is long."""
    plain = re.sub(r"[^ -~]", "?", line)
    parts, rest = [], plain
    while len(rest) > WIDTH and " " in rest[:WIDTH]:
        cut = rest.rindex(" ", 0, WIDTH)
        parts.append(rest[:cut])
        rest = "  " + rest[cut + 1 :]
    return [*parts, rest]
