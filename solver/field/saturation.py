"""How strong the field is in magnetic metal, by a measure that does not depend on the mesh.

At a sharp corner of magnetic metal H has no end: its largest value, and that of any share of the mesh's elements, says
how fine the mesh is there. The energy of the field does converge, and with it the strength that is exceeded where a
given share of the energy sits: about the surface's value where there is a skin, whatever its corners are like.
"""

from __future__ import annotations

import numpy as np

from crosscurrent.geometries.meshing.shape_functions import quadrature
from crosscurrent.solver.metals.depth import MU0

from .flow import SteadyFlow

SHARE = 0.1  # of the energy, in the strongest field: what saturates there changes the answers by about as much at most


def strong_field(flow: SteadyFlow, number: int, share: float = SHARE) -> float | None:
    """Crest of H that is exceeded where a share of the magnetic energy of a conductor's magnetic metal is [A/m].

    None where it holds no field.

    Parameters
    ----------
    flow : SteadyFlow
    number : int
        Of the conductor.
    share : float
        Of the energy in that conductor's strongly magnetic metal.

    Examples
    --------
    Copper is not magnetic:

    >>> from crosscurrent.geometries.plane.shapes import round_bar
    >>> from crosscurrent.solver.field.alone import alone
    >>> from crosscurrent.solver.field.solve import solve
    >>> strong_field(solve(alone(round_bar(0.002)), 50.0).fine, 0) is None
    True
    """
    return _exceeded(flow, number, share, of_h=True)


def strong_induction(flow: SteadyFlow, number: int, share: float = SHARE) -> float | None:
    """Crest of B that is exceeded where a share of the magnetic energy of a conductor's magnetic metal is [T].

    None where it holds no field; parameters as of `strong_field`.
    """
    return _exceeded(flow, number, share, of_h=False)


def _exceeded(flow: SteadyFlow, number: int, share: float, *, of_h: bool) -> float | None:
    d, conductor = flow.discretisation, flow.problem.conductors[number]
    own = zip(d.mesh.regions_of(number), conductor.metals, strict=True)
    magnetic = [region for region, metal in own if metal.is_strongly_magnetic]
    rows = np.flatnonzero(np.isin(d.mesh.region, magnetic) & ~(d.mesh.field_free & flow.lifted))
    places, weights = quadrature(2 * d.order + 2)
    density = (np.abs(d.elements.induction(flow.potential, rows, places)) ** 2).sum(axis=-1)
    strength = np.sqrt(2 * density) * ((d.reluctivity[rows] / MU0)[:, None] if of_h else 1.0)
    energy = density * d.reluctivity[rows, None] * d.elements.measure(rows, places) * weights
    if not energy.sum():
        return None
    strongest = np.argsort(-strength.ravel())
    held = np.cumsum(energy.ravel()[strongest])
    return float(strength.ravel()[strongest][np.searchsorted(held, share * held[-1])])
