"""Where the loss arises: its density in the metal, that within the strands of bundles as their medium has it."""

from __future__ import annotations

import numpy as np

from crosscurrent.geometries.arrays import FloatArray, IntArray
from crosscurrent.solver.metals.depth import MU0

from .flow import SteadyFlow


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
    heating = np.array([*(m.conductivity * complex(m.heating).real for m in d.metals), 0.0])[region] * solved
    found = np.abs(d.elements.value(flow.electric, rows, places)) ** 2 * heating[:, None]
    omega = 2 * np.pi * flow.frequency
    eddies = [0.0 if m.strands is None else omega * (1j / np.conj(m.softness)).real / MU0 for m in d.metals]
    within = np.flatnonzero(np.array([*eddies, 0.0])[region])
    if len(within):
        squared = (np.abs(d.elements.gradient(flow.potential, rows[within], places)) ** 2).sum(axis=-1)
        found[within] += squared * np.array(eddies)[region[within], None]
    return np.asarray(found)
