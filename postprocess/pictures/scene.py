"""What all pictures of one solution share."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from ...geometries.mesh import lattice
from ...geometries.outline import FloatArray
from ...geometries.section import Part
from ...geometries.shape_functions import quadrature
from ...solver.flow import Flow
from ...solver.problem import Conductor
from ...solver.solve import Solution
from ..answers import Answers
from ..samples import Surface, current_density, peaks, reference_phase, surfaces
from .crowding import Spot, crowded_spot
from .frames import View, folded, group_windows, with_room
from .scale import Scale
from .style import amount, plain, shortened

LISTED = 6  # conductors named in the notes


@dataclass(frozen=True, eq=False)
class Scene:
    """A solution, its answers and the title of the case, with what is drawn from them."""

    solution: Solution
    answers: Answers
    title: str

    @property
    def flow(self) -> Flow:
        """The finest flow."""
        return self.solution.fine

    @property
    def parts(self) -> tuple[Part, ...]:
        """All parts of the section."""
        return self.flow.problem.section.parts

    @property
    def conductors(self) -> tuple[Conductor, ...]:
        """All conductors."""
        return self.flow.problem.conductors

    @cached_property
    def outlines(self) -> list[Surface]:
        """Surfaces of all conductors."""
        return surfaces(self.flow)

    @cached_property
    def spot(self) -> Spot:
        """Where it is most crowded."""
        return crowded_spot(self.flow, self.outlines)

    @cached_property
    def peaks(self) -> FloatArray:
        """Largest |J| of every region, 0 for air, (regions + 1,) [A/m2]."""
        d = self.flow.discretisation
        places = lattice(d.order)[:, 1:] / d.order
        return peaks(self.flow, d.elements.metal, np.abs(current_density(self.flow, d.elements.metal, places)))

    @cached_property
    def scale(self) -> Scale:
        """Of |J| [A/mm2]."""
        d = self.flow.discretisation
        metal = d.elements.metal
        places, weights = quadrature(2 * d.order)
        strength = np.abs(current_density(self.flow, metal, places))
        return Scale.of(1e-6 * strength.ravel(), (d.elements.maps(metal, places)[0] * weights).ravel())

    @cached_property
    def views(self) -> list[View]:
        """Windows of the conductors, without the air between far apart ones."""
        pieces = [folded(view) for view in group_windows(self.parts, 0.03)]
        return [with_room(found[0], self.parts) if len(found) == 1 else view for found in pieces for view in found]

    @property
    def at(self) -> str:
        """The frequency in words."""
        f = self.solution.frequency
        for unit, size in (("MHz", 1e6), ("kHz", 1e3)):
            if f >= size:
                return f"{plain(f / size, 6)} {unit}"
        return f"{plain(f, 6)} Hz" if f else "direct current"

    @property
    def notes(self) -> list[str]:
        """One line for each conductor: current, angle, loss; where there are many, those of largest loss."""
        found = list(self.answers.conductors.items())
        if len(found) > LISTED:
            found = sorted(found, key=lambda row: -row[1].loss)[:LISTED]
        lines = []
        for name, c in found:
            angle = np.degrees(np.angle(c.current * np.exp(-1j * reference_phase(self.flow))))
            net = f"{amount(abs(c.current), 'A', 3)} at {plain(round(angle), 3)}°" if c.loss_ratio else "no net current"
            lines.append(f"{shortened(name, 30)}: {net}, {amount(c.loss, 'W/m', 3)}")
        more = len(self.answers.conductors) - len(lines)
        return [*lines, f"and {more} more, of smaller loss"] if more else lines
