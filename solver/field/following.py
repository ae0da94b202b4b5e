"""One quick solve without error bars, for a section that moves under the hand.

Meshes are coarser than those of an answer and the order is 3: on the shipped cases R and L stand within 1 % of the
settled ones, for a tenth of the time.
"""

from __future__ import annotations

import math

from crosscurrent.geometries.meshing.mesher import mesh_section
from crosscurrent.geometries.meshing.options import MeshOptions

from .discretisation import Discretisation, is_lifted
from .problem import Problem
from .region_metals import region_metals, region_skins
from .solved_flow import SolvedFlow
from .steel import any_saturable, settled, steel_mesh
from .unit_fields import solve_fields

MOVING = MeshOptions(
    growth=2.2, corner=2.0, reentrant=math.inf, slope=0.9, arc=math.pi / 4, truncation=24
)
ORDER = 3
ROUGHLY = 3e-3  # to which permeability is settled


def follow(problem: Problem, frequency: float) -> SolvedFlow:
    """The flow at a frequency [Hz], about 1 % right.

    Raises
    ------
    MeshError
        A section that cannot be meshed.

    Examples
    --------
    >>> from crosscurrent.geometries.plane.shapes import round_bar
    >>> from crosscurrent.solver.field.alone import alone
    >>> rod = alone(round_bar(0.010), 100.0)
    >>> round(float(follow(rod, 50.0).powers[0].real), 2)
    2.2
    """
    metals, skins = region_metals(problem, frequency), region_skins(problem, frequency)
    lifted = is_lifted([min(s) for s in skins], [c.part for c in problem.conductors])
    if any_saturable(metals):
        d = Discretisation(steel_mesh(problem.section, skins, metals, MOVING), metals, ORDER)
        return settled(problem, d, frequency, lifted=lifted, accuracy=ROUGHLY, loosest=ROUGHLY)
    d = Discretisation(mesh_section(problem.section, skins, MOVING), metals, ORDER)
    return SolvedFlow.of(problem, solve_fields(d, frequency, lifted=lifted))
