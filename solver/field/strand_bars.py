"""What the medium of a bundle leaves open: its edge lies between strands, and real packings are no lattice."""

from __future__ import annotations

import numpy as np

from crosscurrent.geometries.arrays import FloatArray
from crosscurrent.geometries.plane.neighbours import gaps_to
from crosscurrent.solver.elements.factor import Numbers
from crosscurrent.solver.metals.depth import MU0
from crosscurrent.solver.metals.strand_network import in_a_circle
from crosscurrent.solver.metals.strands import Strands

from .flow import SteadyFlow
from .problem import Problem

STEPPED, LEVEL = 0.08, 0.5  # what the last rows leave open, by the square of their pitch in skins: measured
# of what others add to the loss of networked strands: anywhere, and by pitch in skins over the way to them in pitches
BESIDE, NEAR, TIGHT = 0.25, 0.25, 0.5
EVEN, UNEVEN = 0.01, 0.04  # share of what changing fields add to the loss: of a lattice, of strands crowded into none
SPREAD, CROWDED = 0.2, 0.6  # of a strand's share of the inductance: the same
FAR = 2.0  # diameters from which on others count as far


def strand_losses(flow: SteadyFlow) -> FloatArray:
    """Bound on what the loss of every bundle is off because its strands count as one medium, (conductors,) [W/m].

    Measured on packings solved for strand by strand, hexagonal, square and in rings, alone and beside rods, bars and
    returns: a share of what changing fields add to the loss, 0.01 + 1.2 / N + 1.6 |1 - mu|^2 / (fill sqrt N). Where
    strands share as the field asks, current crowds to the outermost of them, which are rows and no smooth medium; where
    a network of their places says how (`Strands.networked`), what others beside them add is left.
    """
    problem = flow.problem
    found = np.zeros(len(problem.conductors))
    for k, (conductor, medium) in enumerate(zip(problem.conductors, flow.discretisation.strands, strict=True)):
        if conductor.strands is None or medium is None:
            continue
        strands, squared, loss = conductor.strands, abs(flow.currents[k]) ** 2, flow.powers[k].real
        own = medium.permeability if medium.rows is None else medium.rows.permeability
        share = edge_share(strands, conductor.part.area, np.asarray(own))
        found[k] = abs(loss - medium.resistance * squared) * float(share)
        if not medium.given:
            length, whole = problem.lengths[k], medium.impedance if medium.rows is None else medium.rows.impedance
            media = (medium.permeability, medium.impedance / length, flow.frequency)
            rod = length * in_a_circle(*(np.array([of]) for of in media))[0]
            alone = np.asarray((rod + medium.edge).real * squared)
            each = np.asarray(whole / length)
            found[k] += float(sharing_losses(problem, k, each, flow.frequency, np.asarray(loss), alone))
    return found


def sharing_losses(
    problem: Problem, number: int, impedance: Numbers, frequency: Numbers | float, loss: Numbers, alone: Numbers
) -> Numbers:
    """What is open beyond that where the strands of a bundle share as the field asks [W/m], of any one shape.

    Parameters
    ----------
    problem, number
        The bundle is conductor `number` of it.
    impedance : complex
        Of all strands in parallel, beyond the field of the medium [ohm/m].
    frequency : float
        [Hz]
    loss, alone : float
        What it loses, and what its current would make it lose with nothing beside it [W/m].

    Notes
    -----
    Of pairs of 41 to 110 networked strands, go and return, turned either way, a hair to two diameters apart, radius 0.2
    to 1.4 skin depths, at most 0.63 of the bar was off.
    """
    conductor = problem.conductors[number]
    strands = conductor.strands
    assert strands is not None
    rows = 2 * np.pi * frequency * MU0 / (np.sqrt(3) * strands.count * np.abs(impedance))
    if not strands.networked:
        return np.asarray(loss * STEPPED * rows / (1 + LEVEL * rows))
    nearness = NEAR * np.sqrt(rows) / sharing_clearance(problem, number)
    return np.asarray(np.abs(loss - alone) * np.minimum(1.0, BESIDE + nearness))


def sharing_clearance(problem: Problem, number: int) -> float:
    """From the outline of a bundle to the nearest other conductor, in pitches of its strands, at least `TIGHT`."""
    own, strands = problem.conductors[number].part, problem.conductors[number].strands
    assert strands is not None
    low, high = own.bounds
    reach = FAR * float((high - low).max())
    near = [
        other
        for other in (c.part for c in problem.conductors if c.part is not own)
        if (other.bounds[0] <= high + reach).all() and (other.bounds[1] >= low - reach).all()
    ]
    found = min(gaps_to(own, near), default=np.inf)
    return float(max(found / (own.area / strands.count) ** 0.5, TIGHT))


def edge_share(strands: Strands, area: float, permeability: Numbers) -> Numbers:
    """Share of what changing fields add to the loss of strands in an outline [m2] that is open; any number of media.

    Examples
    --------
    >>> round(float(edge_share(Strands(400, 1e-4), 6e-6, np.array(1.0))), 3)
    0.013
    """
    edge = 1.6 * np.abs(1 - permeability) ** 2 * area / (strands.copper * strands.count**0.5)
    return np.asarray((UNEVEN if strands.crowded else EVEN) + 1.2 / strands.count + edge)


def strand_inductances(problem: Problem) -> FloatArray:
    """The same for the inductance of every bundle, (conductors,) [H/m]: a share of mu0 / (2 pi) over N, as measured."""
    every = [c.strands for c in problem.conductors]
    shares = [0.0 if s is None else (CROWDED if s.crowded else SPREAD) / s.count for s in every]
    each = np.array(shares) * MU0 / (2 * np.pi)
    return np.asarray(each * problem.lengths)
