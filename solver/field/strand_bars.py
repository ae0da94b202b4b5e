"""What the medium of a bundle leaves open: its edge lies between strands, and real packings are no lattice."""

from __future__ import annotations

import numpy as np

from crosscurrent.geometries.arrays import FloatArray
from crosscurrent.solver.metals.depth import MU0

from .flow import SteadyFlow

FREE = 3.0  # times as much where strands share as their ways ask


def strand_losses(flow: SteadyFlow) -> FloatArray:
    """Bound on what the loss of every bundle is off because its strands count as one medium, (conductors,) [W/m].

    Measured on packings solved for strand by strand, hexagonal, square and in rings, alone and beside rods, bars and
    returns: a share of what changing fields add to the loss, 0.01 + 1.2 / N + 1.6 |1 - mu|^2 / (fill sqrt N).
    """
    found = np.zeros(len(flow.problem.conductors))
    for k, (conductor, medium) in enumerate(zip(flow.problem.conductors, flow.discretisation.strands, strict=True)):
        if conductor.strands is not None and medium is not None:
            count, fill = conductor.strands.count, conductor.strands.copper / conductor.part.area
            added = flow.powers[k].real - medium.resistance * abs(flow.currents[k]) ** 2
            edge = 1.6 * abs(1 - medium.permeability) ** 2 / (fill * count**0.5)
            found[k] = abs(added) * (0.01 + 1.2 / count + edge) * (1.0 if medium.lay == "transposed" else FREE)
    return found


def strand_inductances(flow: SteadyFlow) -> FloatArray:
    """The same for the inductance of every bundle, (conductors,) [H/m]: 0.2 / N of mu0 / (2 pi), as measured."""
    counts = [0 if c.strands is None else c.strands.count for c in flow.problem.conductors]
    return np.array([0.2 / count * MU0 / (2 * np.pi) if count else 0.0 for count in counts])
