"""What metal a section takes: area and mass of every metal, plating and clad pieces included."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from crosscurrent.solver.metals.materials import Material

from .problem import Problem
from .solution import Solution

AREA_ERROR = 1e-6  # relative: areas of the mesh are exact but for rounding at corners


@dataclass(frozen=True)
class MetalShare:
    """One metal of a section."""

    material: str
    area: float  # [m2]
    density: float | None  # [kg/m3]

    @property
    def mass(self) -> float | None:
        """Per metre [kg/m]; None where the density is not known."""
        return None if self.density is None else self.area * self.density

    def with_more(self, other: MetalShare) -> MetalShare:
        """Both together, their density the mean: along the run that of askew strands is higher.

        Examples
        --------
        >>> MetalShare("copper", 1.0, 8900.0).with_more(MetalShare("copper", 1.0, 9100.0)).density
        9000.0
        """
        area, masses = self.area + other.area, (self.mass, other.mass)
        density = None if None in masses else sum(mass or 0.0 for mass in masses) / area
        return MetalShare(self.material, area, density)


def metal_shares(solution: Solution) -> tuple[MetalShare, ...]:
    """Every metal of the section, the most of it first.

    Areas are those of the mesh, exact but for rounding; of strands as a medium those of their copper across the run.
    """
    mesh = solution.fine.discretisation.mesh
    metals = [(conductor, metal) for conductor in solution.problem.conductors for metal in conductor.metals]
    areas = mesh.areas()
    found: dict[str, MetalShare] = {}
    for row, (conductor, metal) in enumerate(metals):
        area = conductor.strands.copper if conductor.strands else float(np.sum(areas[mesh.region == row]))
        share = MetalShare(metal.name, area, metal.density)
        found[metal.name] = share if metal.name not in found else found[metal.name].with_more(share)
    return tuple(sorted(found.values(), key=lambda share: -share.area))


def weight(problem: Problem, worth: Callable[[Material], float] = lambda metal: 1.0) -> float:
    """Of base metals and pieces, each kilogram at its worth; coats are as long as the outline they lie on."""
    total = 0.0
    for c in problem.conductors:
        shapes, around = (c.part.shape, *c.part.pieces), c.part.shape.outer.perimeter
        areas = [*(s.area for s in shapes), *(around * t for t in c.part.coats)]
        metals = (c.material, *c.pieces, *c.coats)
        total += sum(area * (m.density or 0.0) * worth(m) for area, m in zip(areas, metals, strict=True))
    return total
