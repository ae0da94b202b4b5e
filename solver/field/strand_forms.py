"""What bundles that carry a given current add to the residuals of a change: their flux linked, and their own impedance.

With F A the mean of A over a bundle, their part in what is stationary is, for any field (I_l, A_l),

    z I_l I + j w (I_l F A + I F A_l),

beside the form of nu: a wall that moves changes F, all else z. E stands for the current there: J over sigma at rest.
What the places of straight strands add in a row with their field is such a z as well.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from crosscurrent.geometries.arrays import BoolArray, ComplexArray, FloatArray, IntArray
from crosscurrent.geometries.meshing.shape_functions import quadrature, values
from crosscurrent.solver.elements import weighted
from crosscurrent.solver.elements.condensed import summed
from crosscurrent.solver.elements.motions import Carried, Motions
from crosscurrent.solver.elements.operators import Elements

from .changes import Differences
from .discretisation import Discretisation
from .flow import SteadyFlow


def given_unknowns(d: Discretisation) -> BoolArray:
    """Those at which the current is given, (unknowns,)."""
    found = np.zeros(d.elements.count, dtype=bool)
    if d.given.any():
        rows = d.elements.metal
        found[d.elements.dofs[rows[d.given[d.mesh.part[rows]]]]] = True
    return found


def strand_residuals(
    d: Discretisation, currents: ComplexArray, potential: ComplexArray, omega: float, steps: Differences
) -> Iterator[tuple[ComplexArray, ComplexArray, FloatArray]]:
    """Residuals by currents (conductors, c) and by A (unknowns, c), and what losses gain by themselves (conductors, c).

    Of each of some given fields.

    Parameters
    ----------
    d : Discretisation
    currents : (conductors, fields) complex
    potential : (unknowns, fields) complex
        The given fields.
    omega : float
        [rad/s], which may stand for rest.
    steps : Differences
    """
    moved = {int(k): mean_gains(d.elements, np.flatnonzero(d.mesh.part == k), steps.nodes)
             for k in np.flatnonzero(d.given)}  # fmt: skip
    for i, a in zip(currents.T, potential.T, strict=True):
        by_currents = (steps.within + 1j * omega * steps.linked) * i[:, None]
        by_potential = np.zeros((d.elements.count, len(steps.keys)), dtype=complex)
        for k, gained in moved.items():
            by_currents[k] += 1j * omega * (a @ gained)
            by_potential += 1j * omega * i[k] * gained
        yield by_currents, by_potential, steps.within.real * np.abs(i[:, None]) ** 2


def strand_sizes(flow: SteadyFlow, steps: Differences) -> FloatArray:
    """What straight strands gain by their spacing, which their outline may take back, (c,) [W/m]: told by a hair."""
    found = np.zeros(len(steps.keys))
    for region, metal in enumerate(flow.discretisation.metals):
        if metal.strands is not None and not metal.given:
            share = np.abs(steps.sigma[region]) / abs(metal.conductivity * metal.conducting)
            found += share * abs(flow.region_powers[region])
    return found


def mean_gains(elements: Elements, rows: IntArray, nodes: FloatArray) -> FloatArray:
    """What the mean over triangles gains per field at every unknown as nodes (points, 2, c) move, (unknowns, c) [1/m].

    Examples
    --------
    That of a field that is the same everywhere gains nothing, however a rod swells:

    >>> from crosscurrent.geometries.meshing.mesher import mesh_section
    >>> from crosscurrent.geometries.plane.part import Part
    >>> from crosscurrent.geometries.plane.section import Section
    >>> from crosscurrent.geometries.plane.shapes import round_bar
    >>> mesh = mesh_section(Section((Part("rod", round_bar(0.010)),)), [[1e-3]])
    >>> swollen = mesh.points[:, :, None] ** 2
    >>> found = mean_gains(Elements(mesh, 2), np.flatnonzero(mesh.part == 0), swollen)
    >>> bool(np.abs(found).max() > 1e-5), bool(abs(found.sum()) < 1e-15)
    (True, True)
    """
    corners = (nodes[:, 0] + 1j * nodes[:, 1])[elements.mesh.triangles]
    load, grown = np.zeros((elements.count, 1)), np.zeros((elements.count, nodes.shape[2]))
    for some, value, measure, growth in _at_places(elements, rows, corners):
        each = np.concatenate((measure[:, None], growth * measure[:, None]), axis=1) @ value
        every = summed(elements.dofs[some], each.swapaxes(1, 2), elements.count)
        load, grown = load + every[:, :1], grown + every[:, 1:]
    area = load.sum()
    return np.asarray(grown / area - load * grown.sum(axis=0) / area**2)


def _at_places(
    elements: Elements, rows: IntArray, corners: ComplexArray
) -> Iterator[tuple[IntArray, FloatArray, FloatArray, FloatArray]]:
    """Triangles some at once, with shape functions (p, n), or (t, p, n), area (t, p) and div V (t, c, p) at places."""
    bent = np.isin(rows, elements.mesh.curved)
    straight, curved = rows[~bent], rows[bent]
    for some in (straight, curved):
        if len(some):
            places, weights = quadrature(elements.order * (2 if some is curved else 1))
            near = elements.at_axis[some].any()
            plain = values(elements.order, places)
            value = weighted.functions(elements, some, places, weights)[0] if near else plain
            measure = elements.maps(some, places)[0] * weights
            motions = Motions.at(elements, some, places, Carried.of(elements, some))
            yield some, value, measure, motions.strains(corners[some].swapaxes(1, 2)).growth
