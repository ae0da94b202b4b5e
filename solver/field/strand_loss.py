"""What of a bundle's loss is whose: the skin of its strands, their own bundle's field, the field of all else."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from crosscurrent.geometries.arrays import ComplexArray
from crosscurrent.solver.metals.depth import MU0
from crosscurrent.solver.metals.one_strand import skin_factor
from crosscurrent.solver.metals.strands import Medium

from .discretisation import Discretisation, RegionMetal
from .loss_density import mean_to_strands
from .problem import Conductor
from .solution import DirectSolution
from .solved_flow import SolvedFlow
from .unit_fields import Fields

_AIR = RegionMetal(1.0, strands=Medium(1.0, 0j, 1.0, 0.0, "transposed"))  # carries what is given: nothing


@dataclass(frozen=True)
class StrandLoss:
    """The loss of a bundle in parts [W/m].

    Attributes
    ----------
    skin : float
        Of strands that share the current evenly, each in its own field alone, direct current included.
    sharing : float
        What uneven shares of the strands add to that.
    inside : float
        What the field of the other strands of the bundle adds.
    outside : float
        What the field of all other conductors, induced currents included, adds by itself.
    crossed : float
        What both fields together have more, or less, than each by itself.
    """

    skin: float
    sharing: float
    inside: float
    outside: float
    crossed: float

    @property
    def total(self) -> float:
        """[W/m]"""
        return self.skin + self.sharing + self.inside + self.outside + self.crossed


def strand_loss(solution: DirectSolution, members: Sequence[int]) -> StrandLoss:
    """The parts of a bundle's loss; they add up to it.

    Fields add up: that of the bundle's currents alone, all else being air, is solved for on the same mesh, and the rest
    is what the other conductors add. At the lower of the two orders, scaled to the loss at the higher one.

    Parameters
    ----------
    solution : DirectSolution
    members : sequence of int
        Numbers of the bundle's conductors.

    Examples
    --------
    A round bundle alone; outside there is nothing:

    >>> from crosscurrent.geometries.plane.shapes import round_bar
    >>> from crosscurrent.solver.field.alone import alone
    >>> from crosscurrent.solver.field.solve import solve
    >>> from crosscurrent.solver.metals.strands import Strands
    >>> rod = alone(round_bar(3e-3), 10.0)
    >>> lead = replace(rod.conductors[0], strands=Strands(420, 1e-4))
    >>> found = strand_loss(solve(replace(rod, conductors=(lead,)), 85e3), [0])
    >>> round(found.inside / found.skin, 3), abs(found.outside) < 1e-9
    (0.058, True)
    """
    flow, chosen = solution.coarse, list(members)
    loss = float(solution.fine.powers.real[chosen].sum())
    d = flow.discretisation
    if not flow.frequency or not loss:
        return StrandLoss(loss, 0.0, 0.0, 0.0, 0.0)
    own = _alone(flow, chosen)
    rest = _flow(flow, d, flow.potential - own.potential, flow.electric - own.electric, lifted=flow.lifted)
    whole, mine, foreign = (float(f.powers.real[chosen].sum()) for f in (flow, own, rest))
    even, shared = (float(part) for part in _skin(own, flow.currents[chosen], chosen))
    parts = even, shared - even, mine - shared, foreign, whole - mine - foreign
    return StrandLoss(*(loss / whole * part for part in parts))


def _alone(flow: SolvedFlow, chosen: Sequence[int]) -> SolvedFlow:
    """The currents of a bundle's conductors by themselves, all else being air."""
    d = flow.discretisation
    parts = zip(d.metals, d.mesh.part_of_region, strict=True)
    metals = tuple(metal if part in chosen else _AIR for metal, part in parts)
    alone = Discretisation(d.mesh, metals, d.order)
    omega = 2 * np.pi * flow.frequency
    known = None if flow.lifted else flow.fields.elimination  # lifted, field-free cores were left out
    system = alone.system(omega, lifted=False, order=known)
    if d.given[chosen[0]]:
        load = alone.even_load[:, np.flatnonzero(alone.given) == chosen[0]]
        potential = system.solve(MU0 * load)[:, 0] * flow.currents[chosen[0]]
        electric = d.lift[:, chosen[0]] / d.conductance[chosen[0]] * flow.currents[chosen[0]] + 0j
    else:
        load, chi = alone.lift_mass[:, chosen], alone.lift[:, chosen]
        response = system.solve(load)
        through = load.T @ chi - 1j * omega * MU0 * (load.T @ response)
        voltage = np.linalg.solve(0.5 * (through + through.T), flow.currents[chosen])
        potential = MU0 * response @ voltage
        electric = chi @ voltage - 1j * omega * potential
    found = [np.asarray(field, dtype=np.complex128) for field in (potential, electric)]
    return _flow(flow, alone, found[0], found[1], lifted=False)


def _flow(
    like: SolvedFlow, d: Discretisation, potential: ComplexArray, electric: ComplexArray, *, lifted: bool
) -> SolvedFlow:
    """A flow of given fields."""
    one = np.ones(1, dtype=complex)
    fields = Fields(d, like.frequency, one[:, None], potential[:, None], electric[:, None], lifted)
    return replace(like, fields=fields, currents=one, voltages=one)


def _skin(own: SolvedFlow, currents: ComplexArray, chosen: Sequence[int]) -> tuple[float, float]:
    """Loss of the strands of a bundle, each alone with an even share of its current, and with its own [W/m]."""
    d, conductors = own.discretisation, [own.problem.conductors[k] for k in chosen]
    first = conductors[0]
    factor = skin_factor(strand_diameter(first), first.material.conductivity_at(first.temperature), own.frequency)
    conductance = d.conductance[chosen]
    even = abs(currents.sum()) ** 2 / conductance.sum()
    if first.strands is None:
        return factor * even, factor * float((np.abs(currents) ** 2 / conductance).sum())
    medium = d.strands[chosen[0]]
    if medium is not None and medium.given:
        return factor * even, factor * even * (1.0 if medium.rings is None else medium.rings.squared)
    field = own.electric[d.elements.dofs[d.elements.metal]]
    squared = np.einsum("ti,tij,tj->t", field.conj(), d.elements.mass_blocks, field, optimize=True).real
    inside = d.mesh.part[d.elements.metal] == chosen[0]
    shared = float((squared * d.sigma * np.abs(d.smoothing) ** 2)[inside].sum())
    return factor * even, factor * shared * (1.0 if medium is None else mean_to_strands(own, chosen[0], medium))


def strand_diameter(conductor: Conductor) -> float:
    """Of a strand [m]."""
    strands = conductor.strands
    return 2 * math.sqrt(conductor.part.area / math.pi) if strands is None else strands.diameter
