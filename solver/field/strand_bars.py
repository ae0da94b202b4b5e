"""What the medium of a bundle leaves open: its edge lies between strands, and real packings are no lattice."""

from __future__ import annotations

import numpy as np

from crosscurrent.geometries.arrays import FloatArray
from crosscurrent.solver.elements.factor import Numbers
from crosscurrent.solver.metals.depth import MU0
from crosscurrent.solver.metals.strands import Strands

from .flow import SteadyFlow
from .problem import Problem

STEPPED, LEVEL = 0.08, 0.5  # what the last rows leave open, by the square of their pitch in skins: measured


def strand_losses(flow: SteadyFlow) -> FloatArray:
    """Bound on what the loss of every bundle is off because its strands count as one medium, (conductors,) [W/m].

    Measured on packings solved for strand by strand, hexagonal, square and in rings, alone and beside rods, bars and
    returns: a share of what changing fields add to the loss, 0.01 + 1.2 / N + 1.6 |1 - mu|^2 / (fill sqrt N). Where
    strands share as the field asks, current crowds to the outermost of them, which are rows and no smooth medium.
    """
    found = np.zeros(len(flow.problem.conductors))
    for k, (conductor, medium) in enumerate(zip(flow.problem.conductors, flow.discretisation.strands, strict=True)):
        if conductor.strands is not None and medium is not None:
            added = flow.powers[k].real - medium.resistance * abs(flow.currents[k]) ** 2
            own = medium.permeability if medium.rows is None else medium.rows.permeability
            found[k] = abs(added) * float(edge_share(conductor.strands, conductor.part.area, np.asarray(own)))
            if not medium.given:
                whole = medium.impedance if medium.rows is None else medium.rows.impedance
                each = np.asarray(whole / flow.problem.lengths[k])
                found[k] += flow.powers[k].real * float(stepped_share(conductor.strands, each, flow.frequency))
    return found


def stepped_share(strands: Strands, impedance: Numbers, frequency: Numbers | float) -> Numbers:
    """Share of the loss that steps of rows may take off, of strands of some impedance [ohm/m] at frequencies [Hz]."""
    rows = 2 * np.pi * frequency * MU0 / (np.sqrt(3) * strands.count * np.abs(impedance))
    return np.asarray(STEPPED * rows / (1 + LEVEL * rows))


def edge_share(strands: Strands, area: float, permeability: Numbers) -> Numbers:
    """Share of what changing fields add to the loss of strands in an outline [m2] that is open; any number of media.

    Examples
    --------
    >>> round(float(edge_share(Strands(400, 1e-4), 6e-6, np.array(1.0))), 3)
    0.013
    """
    edge = 1.6 * np.abs(1 - permeability) ** 2 * area / (strands.copper * strands.count**0.5)
    return np.asarray(0.01 + 1.2 / strands.count + edge)


def strand_inductances(problem: Problem) -> FloatArray:
    """The same for the inductance of every bundle, (conductors,) [H/m]: 0.2 / N of mu0 / (2 pi), as measured."""
    counts = [0 if c.strands is None else c.strands.count for c in problem.conductors]
    each = np.array([0.2 / count * MU0 / (2 * np.pi) if count else 0.0 for count in counts])
    return np.asarray(each * problem.lengths)
