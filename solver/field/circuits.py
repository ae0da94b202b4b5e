"""Circuits: from the impedance matrix of the conductors to the current in each of them."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from .field import ComplexArray
from .problem import Circuit


def currents_and_voltages(
    impedance: ComplexArray, names: Sequence[str], circuits: Sequence[Circuit]
) -> tuple[ComplexArray, ComplexArray]:
    """Share the circuits' currents among their conductors.

    Conductors joined in parallel have one voltage along the run between them; transposed ones have equal
    currents; those in no circuit carry no net current.

    Parameters
    ----------
    impedance : (n, n) complex [ohm/m]
    names : n names, in the order of the matrix
    circuits : sequence of Circuit

    Returns
    -------
    currents : (n,) complex [A rms]
    voltages : (n,) complex [V/m rms]
        Along each conductor, in the direction of positive current.
    """
    index = {name: k for k, name in enumerate(names)}
    groups: list[tuple[list[int], complex]] = []
    for circuit in circuits:
        for members, current in ((circuit.out, circuit.current), (circuit.back, -circuit.current)):
            rows = [index[m] for m in members]
            if circuit.sharing == "equal":
                groups += [([k], current / len(rows)) for k in rows]
            elif rows:
                groups.append((rows, current))
    used = {k for rows, _ in groups for k in rows}
    groups += [([k], 0j) for k in range(len(names)) if k not in used]
    member = np.zeros((len(groups), len(names)))
    for g, (rows, _) in enumerate(groups):
        member[g, rows] = 1.0
    total = np.array([current for _, current in groups], dtype=complex)
    # every member of a group: Z I = v of its group; the currents of a group add up to its total
    scale = float(np.abs(impedance).max())
    system = np.block([[impedance / scale, -member.T], [member, np.zeros((len(groups), len(groups)))]])
    answer = np.linalg.solve(system, np.concatenate((np.zeros(len(names)), total)))
    currents = answer[: len(names)]
    single = member.sum(axis=1) == 1
    currents[member[single].argmax(axis=1)] = total[single]
    return currents, impedance @ currents


def circuit_voltage(circuit: Circuit, names: Sequence[str], voltages: ComplexArray) -> complex:
    """Terminal voltage of a circuit per metre of run, out and back together [V/m rms]."""
    index = {name: k for k, name in enumerate(names)}
    out = np.mean([voltages[index[m]] for m in circuit.out])
    back = np.mean([voltages[index[m]] for m in circuit.back]) if circuit.back else 0.0
    return complex(out - back)
