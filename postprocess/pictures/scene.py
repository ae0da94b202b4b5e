"""What all pictures of one solution share."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np
from matplotlib.axes import Axes

from crosscurrent.geometries.arrays import FloatArray
from crosscurrent.geometries.meshing.lattice import lattice
from crosscurrent.geometries.meshing.shape_functions import quadrature
from crosscurrent.geometries.plane.part import Part
from crosscurrent.postprocess.answers.answers import Answers, ConductorAnswer
from crosscurrent.postprocess.answers.bundle_sums import whole_conductors
from crosscurrent.postprocess.answers.field_values import (
    OutlineSurface,
    current_density,
    peaks,
    reference_phase,
    surfaces,
)
from crosscurrent.postprocess.answers.noise import loss_noise, or_none
from crosscurrent.solver.field.flow import SteadyFlow
from crosscurrent.solver.field.problem import Circuit, Conductor
from crosscurrent.solver.field.solution import Solution

from .axial import CurrentMark, boxes_of, current_marks, draw_axis, draw_marks, with_mirrored
from .axial import views as axial_views
from .axial_notes import axial_notes
from .kept import KeptCuts
from .loss_spot import LossSpot, loss_spot
from .room_for_names import with_room
from .scale import Scale
from .style import amount, plain, shortened
from .views import View, folded, group_windows

LISTED = 6  # conductors named in the notes


@dataclass(frozen=True, eq=False)
class MetalScene:
    """A solution with what is drawn of the metal from it.

    Attributes
    ----------
    solution : Solution
    kept : KeptCuts
        What it has in common with other scenes of its mesh.
    """

    solution: Solution
    kept: KeptCuts = field(default_factory=KeptCuts, kw_only=True)

    @property
    def flow(self) -> SteadyFlow:
        """The finest flow."""
        return self.solution.fine

    @property
    def parts(self) -> tuple[Part, ...]:
        """All parts of the section."""
        return self.flow.problem.section.parts

    @property
    def named(self) -> tuple[Part, ...]:
        """All parts, of a bundle's strands the last one by the bundle's name and the others without.

        Of an axial section also what is seen left of the axis, without names.
        """
        bundles = self.flow.problem.bundles
        names = {member: "" for b in bundles for member in b.members} | {b.members[-1]: b.name for b in bundles}
        own = tuple(replace(p, name=names[p.name]) if p.name in names else p for p in self.parts)
        return with_mirrored(own, self.flow.problem.section.crosses) if self.axial else own

    @property
    def axial(self) -> bool:
        """Whether the section goes round an axis: it is drawn cut along it, with both halves."""
        return self.flow.problem.axial

    @property
    def coils(self) -> list[Circuit]:
        """Circuits of several turns in series."""
        return [c for c in self.flow.problem.circuits if c.sharing == "series" and c.turns > 1]

    @cached_property
    def seen(self) -> list[OutlineSurface]:
        """The surfaces that a picture shows: of an axial section those left of the axis as well."""
        return [*self.outlines, *(o.mirrored() for o in self.outlines)] if self.axial else self.outlines

    @cached_property
    def marks(self) -> list[CurrentMark]:
        """Where a picture of an axial section marks which way the current goes."""
        return current_marks(self.flow) if self.axial else []

    def dress(self, axes: Axes) -> None:
        """What stands over a finished panel of an axial section: its axis, and marks of the current."""
        if self.axial:
            draw_axis(axes, boxes_of(self.parts))
            draw_marks(axes, self.marks)

    @property
    def conductors(self) -> tuple[Conductor, ...]:
        """All conductors."""
        return self.flow.problem.conductors

    @cached_property
    def outlines(self) -> list[OutlineSurface]:
        """Surfaces of all conductors."""
        return surfaces(self.flow)

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
        return Scale.of(1e-6 * strength.ravel(), (d.elements.measure(metal, places) * weights).ravel())

    @property
    def at(self) -> str:
        """The frequency in words."""
        f = self.solution.frequency
        for unit, size in (("MHz", 1e6), ("kHz", 1e3)):
            if f >= size:
                return f"{plain(f / size, 6)} {unit}"
        return f"{plain(f, 6)} Hz" if f else "direct current"


@dataclass(frozen=True, eq=False)
class Scene(MetalScene):
    """The same with the solution's answers and the title of the case.

    Attributes
    ----------
    answers : Answers
        Of the same solution.
    title : str
        Of the case.
    zoom : tuple of str
        Conductors among which the zoom looks for the largest loss; empty: it chooses.
    """

    answers: Answers
    title: str
    zoom: tuple[str, ...] = ()

    @cached_property
    def spot(self) -> LossSpot:
        """Where the zoom goes."""
        losses = [self.answers.conductors[c.name].loss for c in self.conductors]
        return loss_spot(self.flow, self.outlines, losses, self.zoom)

    @cached_property
    def densest(self) -> ConductorAnswer:
        """The conductor in which |J| is largest."""
        return max(self.answers.conductors.values(), key=lambda c: c.peak_current_density)

    @cached_property
    def views(self) -> list[View]:
        """Windows of the conductors, without the air between far apart ones."""
        if self.axial:
            return [with_room(view, self.named) for view in axial_views(self.named, len(self.parts), 0.03)]
        groups = group_windows(self.named, 0.03)
        return [with_room(view, self.named) for group in groups for view in folded(group)]

    @property
    def notes(self) -> list[str]:
        """One line for each conductor: current, angle, loss; where there are many, those of largest loss.

        Of an axial section one line for each coil and each piece that no circuit feeds, with the loss all round.
        """
        if self.axial:
            return [*axial_notes(self.flow, self.answers, LISTED), *_directions(self.marks, self.solution.frequency)]
        every = whole_conductors(self.answers)
        found = sorted(every, key=lambda c: -c.loss)[:LISTED] if len(every) > LISTED else every
        lines = []
        for c in found:
            angle = round(np.degrees(np.angle(c.current * np.exp(-1j * reference_phase(self.flow)))))
            degrees = plain(180 if angle == -180 else angle, 3)
            net = f"{amount(abs(c.current), 'A', 3)} at {degrees}°" if c.loss_ratio else "no net current"
            lost = or_none(amount(c.loss, "W/m", 3), c.loss, loss_noise(c, self.answers), "no loss")
            lines.append(f"{shortened(c.name, 30)}: {net}, {lost}")
        more = len(every) - len(lines)
        return [*lines, f"and {more} more, of smaller loss"] if more else lines


def _directions(marks: Sequence[CurrentMark], frequency: float) -> list[str]:
    when = ", at the crest of the first current" if frequency else ""
    return [f"⊙ current out of the page, ⊗ into it{when}"] if marks else []
