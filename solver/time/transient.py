"""A current in time through the reduced model of a band: every mode answers an exponential exactly, without time steps.

With the modes of `solver.band.foster`, driven by currents I, every amplitude obeys

    da/dt = -w a - c . I,

so that for a current of exponentials, sines among them, it is a sum of exponentials too.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property
from typing import ClassVar

import numpy as np

from crosscurrent.geometries.arrays import ComplexArray, FloatArray
from crosscurrent.solver.band.krylov import SweepError
from crosscurrent.solver.band.sweep import Sweep
from crosscurrent.solver.field.circuits import terminal_weights
from crosscurrent.solver.field.discretisation import Discretisation
from crosscurrent.solver.field.problem import Problem

from .excitation import Excitation
from .modes import exponential_response
from .strand_excess import StrandExcess

PER_PERIOD = 96  # panels; a peak between two of them is missed by 0.05 % at most
GROWTH = 1.25  # from one panel to the next after a sudden change
EARLIEST = 0.1  # length of the first panel, in terms of the fastest mode's time
LONGEST = 1000  # periods


@dataclass(frozen=True, eq=False)
class Transient:
    """Currents in the circuits of a swept problem.

    Attributes
    ----------
    sweep : Sweep
        With a drive for each circuit.
    excitations : tuple of (Excitation or None)
        One for each circuit of the problem; None: no current.
    """

    sweep: Sweep
    excitations: tuple[Excitation | None, ...]

    @cached_property
    def excess(self) -> dict[int, StrandExcess]:
        """What strands add to the impedance of bundles, by their groups."""
        high = float(self.sweep.frequency.max())
        within = enumerate(self.sweep.fine.model.foster.within)
        return {group: StrandExcess.of(strands, high) for group, strands in within if strands is not None}

    @property
    def duration(self) -> float:
        """[s]"""
        return max(w.duration for w in self.excitations if w)

    @cached_property
    def edges(self) -> FloatArray:
        """Times between which everything is smooth, closer after a sudden change (m,) [s]."""
        end, found = self.duration, [0.0]
        first = EARLIEST / float(self.sweep.fine.model.foster.rates.max())
        count = math.ceil(math.log(end / first) / math.log(GROWTH)) + 1
        for excitation in (w for w in self.excitations if w):
            if end > LONGEST * excitation.period:
                raise SweepError(
                    f"a current in time of {end / excitation.period:.6g} periods: expected {LONGEST} at most; shorten "
                    "the duration"
                )
            if math.isfinite(excitation.period):
                found += list(np.arange(0, end, excitation.period / PER_PERIOD))
            for start in {t.start for t in excitation.terms if t.start < end}:
                found += [start, *(start + np.geomspace(first, end, count))]
        every = np.unique(np.array([*(t for t in found if t < end), end]))
        apart = np.append(np.diff(every) > 1e-3 * first, True)
        return np.asarray(every[apart])

    def at(self, times: FloatArray) -> TimeSamples:
        """Everything at times (m,) [s]."""
        return TimeSamples(self, times)


@dataclass(frozen=True, eq=False)
class TimeSamples:
    """Fields at times (m,), as amplitudes of the modes; momentary values, not rms."""

    transient: Transient
    times: FloatArray

    @cached_property
    def drive(self) -> FloatArray:
        """Of every circuit, (m, circuits) [A]."""
        nothing = np.zeros(len(self.times))
        return np.stack([w.current(self.times) if w else nothing for w in self.transient.excitations], axis=1)

    @cached_property
    def _states(self) -> tuple[FloatArray, FloatArray]:
        """Amplitudes of the modes in A and their derivatives, both (m, r)."""
        foster = self.transient.sweep.fine.model.foster
        driven = foster.coupling @ foster.pattern
        state, slope = np.zeros((2, len(self.times), len(foster.rates)))
        for number, excitation in enumerate(self.transient.excitations):
            for term in excitation.terms if excitation else ():
                on = self.times >= term.start
                answer, change = exponential_response(foster.rates, term.rate, self.times[on] - term.start)
                state[on] -= (term.amplitude * answer).real * driven[:, number]
                slope[on] -= (term.amplitude * change).real * driven[:, number]
        return state, slope

    @cached_property
    def _excess(self) -> dict[int, FloatArray]:
        """Current in the resistor of every cell of strands, by groups, (m, cells) [A]."""
        transient = self.transient
        pattern = transient.sweep.fine.model.foster.pattern
        found = {group: np.zeros((len(self.times), len(cells.rates))) for group, cells in transient.excess.items()}
        for number, excitation in enumerate(transient.excitations):
            for term in excitation.terms if excitation else ():
                on = self.times >= term.start
                for group, cells in transient.excess.items():
                    change = exponential_response(cells.rates, term.rate, self.times[on] - term.start)[1]
                    found[group][on] += pattern[group, number] * (term.amplitude * change).real
        return found

    @cached_property
    def _modal_parts(self) -> tuple[FloatArray, FloatArray]:
        """Mean E of every group and the rest in terms of the basis: (m, groups) and (m, r) [V/m]."""
        model = self.transient.sweep.fine.model
        modal = self._states[1] @ model.modal_matrix.T
        uniform = self.drive @ model.ports.pattern.T / model.foster.conductance
        return uniform + modal @ model.mean_correction.T, -modal

    @cached_property
    def voltages(self) -> FloatArray:
        """Terminal voltage of every circuit, without the pulse of a sudden step, (m, circuits) [V/m]."""
        sweep = self.transient.sweep
        foster, member, nothing = sweep.fine.model.foster, sweep.fine.model.ports.member, np.zeros(len(self.times))
        rise = np.stack([w.slope(self.times) if w else nothing for w in self.transient.excitations], axis=1)
        uniform = self.drive @ foster.pattern.T / foster.conductance
        groups = uniform + rise @ (foster.surface_inductance @ foster.pattern).T - self._states[1] @ foster.coupling
        for group, cells in self.transient.excess.items():
            groups[:, group] += cells.inductance * (rise @ foster.pattern[group])
            groups[:, group] += self._excess[group] @ cells.resistance
        weights = np.stack([terminal_weights(c, sweep.problem.names) for c in sweep.problem.circuits], axis=1)
        return np.asarray(groups @ member.T @ weights)

    @cached_property
    def stored(self) -> FloatArray:
        """Magnetic energy, (m,) [J/m]."""
        foster = self.transient.sweep.fine.model.foster
        surface = foster.pattern.T @ foster.surface_inductance @ foster.pattern
        alone = np.einsum("mi,ij,mj->m", self.drive, surface, self.drive)
        alone += self._states[0] ** 2 @ foster.rates
        for group, cells in self.transient.excess.items():
            current = (self.drive @ foster.pattern[group])[:, None]
            through = (current - self._excess[group]) ** 2 @ (cells.resistance / cells.rates)
            alone += cells.inductance * current[:, 0] ** 2 + through
        return np.asarray(0.5 * alone)

    def _by_conductor(self, by_region: list[FloatArray]) -> FloatArray:
        sweep = self.transient.sweep
        part = sweep.fine.model.discretisation.mesh.part_of_region
        return np.asarray(np.column_stack(by_region) @ (part[:, None] == np.arange(len(sweep.problem.conductors))))

    @cached_property
    def currents(self) -> FloatArray:
        """Of every conductor, (m, conductors) [A]."""
        model, (mean, modal) = self.transient.sweep.fine.model, self._modal_parts
        return self._by_conductor(
            [
                factor * (mean[:, region.group] * region.load[0] + modal @ region.load[1:])
                for region, factor in zip(model.basis.regions, model.factors, strict=True)
            ]
        )

    @cached_property
    def losses(self) -> FloatArray:
        """Of every conductor, (m, conductors) [W/m]."""
        model, (mean, modal) = self.transient.sweep.fine.model, self._modal_parts
        found = [
            factor * _form(np.column_stack((mean[:, region.group], modal)), region.mass)
            for region, factor in zip(model.basis.regions, model.factors, strict=True)
        ]
        for bundle in model.basis.bundles:
            group = model.basis.group(bundle.region)
            found[bundle.region] += self._excess[group] ** 2 @ self.transient.excess[group].resistance
        return self._by_conductor(found)

    @cached_property
    def force(self) -> FloatArray:
        """On every conductor, (m, conductors, 2) [N/m]."""
        model, state = self.transient.sweep.fine.model, self._states[0]
        foster, modal = model.foster, state @ model.modal_matrix.T
        potential = self.drive @ (foster.surface_inductance @ foster.pattern).T - state @ foster.coupling
        field = np.concatenate((potential - modal @ model.mean_correction.T, modal), axis=1)
        return np.asarray([[_form(field, m) for m in pair] for pair in model.basis.pressures]).transpose(2, 0, 1)

    def flow(self, number: int) -> MomentaryFlow:
        """The field at time number `number`."""
        return MomentaryFlow(self, number)

    def electric(self, number: int) -> ComplexArray:
        """E at the unknowns in the metal [V/m]."""
        model, (mean, modal) = self.transient.sweep.fine.model, self._modal_parts
        level = model.discretisation.lift @ (model.ports.member @ mean[number])
        found = np.zeros(len(level), dtype=complex)
        inside = model.basis.metal_unknowns
        found[inside] = (level + model.basis.vectors @ modal[number])[inside]
        for bundle in model.basis.bundles:  # the mean over their strands
            group = model.basis.group(bundle.region)
            found[bundle.inside] = self.drive[number] @ model.ports.pattern[group] / model.foster.conductance[group]
        return found

    def heating(self, weights: FloatArray) -> FloatArray:
        """integral of sigma E^2 over the times with weights (m,) [s], at the corners of the mesh, (points,) [J/m3].

        Where metals meet, of the better conducting one.
        """
        model, (mean, modal) = self.transient.sweep.fine.model, self._modal_parts
        d, basis = model.discretisation, model.basis
        groups = mean.shape[1]
        both = np.concatenate((mean, modal), axis=1)
        gram = both.T @ (weights[:, None] * both)
        found = np.zeros(len(d.mesh.points))
        for number, (region, factor) in enumerate(zip(basis.regions, model.factors, strict=True)):
            inside = np.unique(d.mesh.triangles[d.mesh.region == number])
            field = np.zeros((len(inside), groups + basis.vectors.shape[1]))
            field[:, region.group] = d.lift[inside, d.mesh.part_of_region[number]]
            field[:, groups:] = basis.vectors[inside]
            if d.mesh.axial:  # E = e / (2 pi r), nothing on the axis
                off = d.mesh.points[inside, :1]
                field *= np.where(off > 0, 1 / np.where(off > 0, 2 * np.pi * off, 1.0), 0.0)
            density = basis.discretisation.metals[number].conductivity * factor * _form(field, gram)
            if basis.discretisation.metals[number].band is not None:  # evenly over the strands
                conductor = d.mesh.part_of_region[number]
                problem = self.transient.sweep.problem
                density[:] = weights @ self.losses[:, conductor] / problem.conductors[conductor].part.area
            found[inside] = np.maximum(found[inside], density)
        return found


@dataclass(frozen=True, eq=False)
class MomentaryFlow:
    """The field at one instant: momentary values, real, where a steady flow has rms phasors.

    Attributes
    ----------
    samples : TimeSamples
    number : int
        Of the time.
    """

    samples: TimeSamples
    number: int
    lifted: ClassVar[bool] = False  # the basis holds the whole metal

    @property
    def problem(self) -> Problem:
        """The swept problem."""
        return self.samples.transient.sweep.problem

    @property
    def discretisation(self) -> Discretisation:
        """Mesh, metals and order of the fields."""
        return self.samples.transient.sweep.fine.model.discretisation

    @property
    def currents(self) -> ComplexArray:
        """Of every conductor, (conductors,) [A]."""
        return np.asarray(self.samples.currents[self.number] + 0j)

    @cached_property
    def electric(self) -> ComplexArray:
        """E at the unknowns in the metal [V/m]."""
        return self.samples.electric(self.number)


def _form(field: FloatArray, matrix: FloatArray) -> FloatArray:
    """field' matrix field for every row, (m,)."""
    return np.asarray(((field @ matrix) * field).sum(axis=1))
