"""Where the loss arises: its density in the metal, that within the strands of bundles as their medium has it."""

from __future__ import annotations

import numpy as np

from crosscurrent.geometries.arrays import FloatArray, IntArray
from crosscurrent.solver.metals.depth import MU0
from crosscurrent.solver.metals.strands import Medium

from .discretisation import RegionMetal
from .flow import SteadyFlow
from .ring_fields import ring_gradients, ring_shares, uneven_loss


def _carrying(metal: RegionMetal) -> float:
    """Loss of a current over sigma |E|^2, of the strands themselves and without what uneven rings add."""
    medium = metal.strands
    if medium is not None and medium.rings is not None:
        return ((medium.impedance - medium.rings.excess) / medium.resistance).real
    if medium is not None and medium.rows is not None:
        return medium.rows.impedance.real / medium.resistance * abs(medium.conducting) ** 2
    return complex(metal.heating).real


def _eddying(metal: RegionMetal) -> float:
    """Loss of a changing field over w |B|^2 / mu, of the strands themselves."""
    if metal.strands is None and metal.lag == 1:
        return 0.0
    rows = None if metal.strands is None else metal.strands.rows
    if rows is not None:  # H is theirs, B that of the medium in their place
        return -rows.permeability.imag / abs(metal.softness) ** 2
    return (1j / complex(metal.softness).conjugate()).real


def mean_to_strands(flow: SteadyFlow, number: int, medium: Medium) -> float:
    """The loss over that of the mean fields of rings or rows, which are not those of their strands."""
    loss = float(flow.powers.real[number])
    if medium.rows is not None:
        metal = next(m for m in flow.discretisation.metals if m.strands is medium)
        mixed = np.array([metal.heating, 1j / np.conj(metal.softness)])
        field = flow.powers[number]
        if metal.edge:
            field = field - metal.edge * abs(flow.region_currents[flow.discretisation.metals.index(metal)]) ** 2
        carried, stored = np.linalg.solve(np.array([mixed.real, mixed.imag]), [field.real, field.imag])
        by_strands = carried * _carrying(metal) + stored * _eddying(metal)
        return float(loss / by_strands) if by_strands > 0 else 1.0
    excess = 0.0 if medium.rings is None else medium.rings.excess.real
    as_medium = loss - excess * abs(flow.currents[number]) ** 2 + uneven_loss(flow, number)
    return loss / as_medium if as_medium > 0 else 1.0


def loss_density(flow: SteadyFlow, rows: IntArray, places: FloatArray) -> FloatArray:
    """Loss at reference places of elements, (e, p) [W/m3]; 0 in air and in field-free cores.

    In bundles the mean over strands and what is between them: of the current, and of what changing fields lose in the
    strands. A region's integral is its loss but for rough surfaces, whose reactance adds to it.

    Parameters
    ----------
    flow : SteadyFlow
    rows : (e,) int
        Elements.
    places : (p, 2) float

    Examples
    --------
    Direct current of 100 A in a rod of 10 mm:

    >>> from crosscurrent.geometries.plane.shapes import round_bar
    >>> from crosscurrent.solver.field.alone import alone
    >>> from crosscurrent.solver.field.solve import solve
    >>> flow = solve(alone(round_bar(0.010), 100.0), 0.0).fine
    >>> found = loss_density(flow, flow.discretisation.elements.metal, np.array([[0.3, 0.3]]))
    >>> round(float(found.max() * 1e-6 * 58), 2)  # J = 1.27 A/mm2
    1.62
    """
    d = flow.discretisation
    region = d.mesh.region[rows]
    solved = ~(d.mesh.field_free[rows] & flow.lifted)
    heating = np.array([*(m.conductivity * _carrying(m) for m in d.metals), 0.0])[region] * solved
    where = d.elements.positions(rows, places)
    found = np.abs(d.elements.strength(flow.electric, rows, places) * ring_shares(flow, rows, where)) ** 2
    found *= heating[:, None]
    omega = 2 * np.pi * flow.frequency
    eddies = [omega * _eddying(m) / (MU0 * m.permeability) for m in d.metals]
    within = np.flatnonzero(np.array([*eddies, 0.0])[region])
    if len(within):
        gradient = d.elements.induction(flow.potential, rows[within], places)
        squared = (np.abs(gradient + ring_gradients(flow, rows[within], where[within])) ** 2).sum(axis=-1)
        found[within] += squared * np.array(eddies)[region[within], None]
        for number, medium in enumerate(d.strands):
            if medium is not None and (medium.rings is not None or medium.rows is not None):
                found[d.mesh.part[rows] == number] *= mean_to_strands(flow, number, medium)
    return np.asarray(found)
