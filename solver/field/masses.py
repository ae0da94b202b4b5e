"""What metal a section takes: area and mass of every metal, plating and clad pieces included."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from .solution import Solution


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


def metal_shares(solution: Solution) -> tuple[MetalShare, ...]:
    """Every metal of the section, the most of it first; areas are those of the mesh, exact but for rounding."""
    mesh = solution.fine.discretisation.mesh
    metals = [metal for c in solution.problem.conductors for metal in c.metals]
    areas = mesh.areas()
    found: dict[str, MetalShare] = {}
    for row, metal in enumerate(metals):
        area = float(np.sum(areas[mesh.region == row]))
        before = found[metal.name].area if metal.name in found else 0.0
        found[metal.name] = MetalShare(metal.name, before + area, metal.density)
    return tuple(sorted(found.values(), key=lambda share: -share.area))
