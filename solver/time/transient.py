"""A current in time through the reduced model of a band: every mode answers an exponential exactly, without time steps.

With the modes of `solver.chain`, driven by currents I, every amplitude obeys

    da/dt = -w a - c . I,

so that for a current of exponentials, sines among them, it is a sum of exponentials too.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from ..geometries.outline import FloatArray
from ..geometries.sides import BoolArray
from .field import ComplexArray, Fields
from .flow import Flow
from .krylov import SweepError
from .ports import terminal
from .regrouped import by_circuits
from .surge import Waveform
from .sweep import Sweep

PER_PERIOD = 96  # panels; a peak between two of them is missed by 0.05 % at most
GROWTH = 1.25  # from one panel to the next after a sudden change
EARLIEST = 0.1  # length of the first panel, in terms of the fastest mode's time
NODES, WEIGHTS = np.polynomial.legendre.leggauss(5)
LONGEST = 1000  # periods
BLOCK = 8192  # times whose fields are held at once


@dataclass(frozen=True, eq=False)
class Transient:
    """Currents in the circuits of a swept problem.

    Attributes
    ----------
    sweep : Sweep
        With a drive for each circuit.
    waveforms : tuple of (Waveform or None)
        One for each circuit of the problem; None: no current.
    """

    sweep: Sweep
    waveforms: tuple[Waveform | None, ...]

    @property
    def duration(self) -> float:
        """[s]"""
        return max(w.duration for w in self.waveforms if w)

    @cached_property
    def edges(self) -> FloatArray:
        """Times between which everything is smooth, closer after a sudden change (m,) [s]."""
        end, found = self.duration, [0.0]
        first = EARLIEST / float(self.sweep.fine.model.chain.rates.max())
        count = math.ceil(math.log(end / first) / math.log(GROWTH)) + 1
        for waveform in (w for w in self.waveforms if w):
            if end > LONGEST * waveform.period:
                raise SweepError(
                    f"a current in time of {end / waveform.period:.6g} periods: expected {LONGEST} at most; shorten "
                    "the duration"
                )
            if math.isfinite(waveform.period):
                found += list(np.arange(0, end, waveform.period / PER_PERIOD))
            for start in {t.start for t in waveform.terms if t.start < end}:
                found += [start, *(start + np.geomspace(first, end, count))]
        every = np.unique(np.array([*(t for t in found if t < end), end]))
        apart = np.append(np.diff(every) > 1e-3 * first, True)
        return np.asarray(every[apart])

    def at(self, times: FloatArray) -> Instants:
        """Everything at times (m,) [s]."""
        return Instants(self, times)


@dataclass(frozen=True, eq=False)
class Instants:
    """Fields at times (m,), as amplitudes of the modes; momentary values, not rms."""

    transient: Transient
    times: FloatArray

    @cached_property
    def drive(self) -> FloatArray:
        """Of every circuit, (m, circuits) [A]."""
        nothing = np.zeros(len(self.times))
        return np.stack([w.current(self.times) if w else nothing for w in self.transient.waveforms], axis=1)

    @cached_property
    def _states(self) -> tuple[FloatArray, FloatArray]:
        """Amplitudes of the modes in A and their derivatives, both (m, r)."""
        chain = self.transient.sweep.fine.model.chain
        driven = chain.coupling @ chain.pattern
        state, slope = np.zeros((2, len(self.times), len(chain.rates)))
        for number, waveform in enumerate(self.transient.waveforms):
            for term in waveform.terms if waveform else ():
                on = self.times >= term.start
                answer, change = _answer(chain.rates, term.rate, self.times[on] - term.start)
                state[on] -= (term.amplitude * answer).real * driven[:, number]
                slope[on] -= (term.amplitude * change).real * driven[:, number]
        return state, slope

    @cached_property
    def _eddy(self) -> tuple[FloatArray, FloatArray]:
        """Mean E of every group and its eddies in terms of the basis: (m, groups) and (m, r) [V/m]."""
        model = self.transient.sweep.fine.model
        basis = self._states[1] @ model.turn.T
        uniform = self.drive @ model.ports.pattern.T / model.chain.conductance
        return uniform + basis @ model.slip.T, -basis

    @cached_property
    def voltages(self) -> FloatArray:
        """Terminal voltage of every circuit, without the pulse of a sudden step, (m, circuits) [V/m]."""
        sweep = self.transient.sweep
        chain, member, nothing = sweep.fine.model.chain, sweep.fine.model.ports.member, np.zeros(len(self.times))
        rise = np.stack([w.slope(self.times) if w else nothing for w in self.transient.waveforms], axis=1)
        uniform = self.drive @ chain.pattern.T / chain.conductance
        groups = uniform + rise @ (chain.surface_inductance @ chain.pattern).T - self._states[1] @ chain.coupling
        weights = np.stack([terminal(c, sweep.problem) for c in sweep.problem.circuits], axis=1)
        return np.asarray(groups @ member.T @ weights)

    @cached_property
    def stored(self) -> FloatArray:
        """Magnetic energy, (m,) [J/m]."""
        chain = self.transient.sweep.fine.model.chain
        surface = chain.pattern.T @ chain.surface_inductance @ chain.pattern
        alone = np.einsum("mi,ij,mj->m", self.drive, surface, self.drive)
        return np.asarray(0.5 * (alone + self._states[0] ** 2 @ chain.rates))

    def _by_conductor(self, by_region: list[FloatArray]) -> FloatArray:
        sweep = self.transient.sweep
        part = np.array([p for p, _ in sweep.fine.model.discretisation.mesh.regions])
        return np.asarray(np.column_stack(by_region) @ (part[:, None] == np.arange(len(sweep.problem.conductors))))

    @cached_property
    def currents(self) -> FloatArray:
        """Of every conductor, (m, conductors) [A]."""
        model, (even, eddy) = self.transient.sweep.fine.model, self._eddy
        return self._by_conductor(
            [
                factor * (even[:, region.group] * region.mass[0, 0] + eddy @ region.mass[0, 1:])
                for region, factor in zip(model.space.regions, model.factors, strict=True)
            ]
        )

    @cached_property
    def losses(self) -> FloatArray:
        """Of every conductor, (m, conductors) [W/m]."""
        model, (even, eddy) = self.transient.sweep.fine.model, self._eddy
        return self._by_conductor(
            [
                factor * _form(np.column_stack((even[:, region.group], eddy)), region.mass)
                for region, factor in zip(model.space.regions, model.factors, strict=True)
            ]
        )

    @cached_property
    def force(self) -> FloatArray:
        """On every conductor, (m, conductors, 2) [N/m]."""
        model, state = self.transient.sweep.fine.model, self._states[0]
        chain, basis = model.chain, state @ model.turn.T
        flux = self.drive @ (chain.surface_inductance @ chain.pattern).T - state @ chain.coupling
        field = np.concatenate((flux - basis @ model.slip.T, basis), axis=1)
        return np.asarray([[_form(field, m) for m in pair] for pair in model.space.pressures]).transpose(2, 0, 1)

    def flow(self, number: int) -> Flow:
        """The field at time number `number`, momentary values where a flow has rms."""
        sweep = self.transient.sweep
        count = len(sweep.problem.conductors)
        nothing = np.zeros((0, count), dtype=complex)
        fields = Fields(sweep.fine.model.discretisation, 0.0, np.zeros((count, count), complex), nothing, nothing)
        still = np.zeros(count, dtype=complex)
        return MomentaryFlow(sweep.problem, fields, self.currents[number] + 0j, still, self.electric(number))

    def electric(self, number: int) -> ComplexArray:
        """E at the unknowns in the metal [V/m]."""
        model, (even, eddy) = self.transient.sweep.fine.model, self._eddy
        level = model.discretisation.lift @ (model.ports.member @ even[number])
        inside = (model.discretisation.lift @ np.ones(len(model.ports.member))) > 0
        return np.where(inside, level + model.space.basis @ eddy[number], 0.0) + 0j

    def heating(self, weights: FloatArray) -> FloatArray:
        """integral of sigma E^2 over the times with weights (m,) [s], at the corners of the mesh, (points,) [J/m3].

        Where metals meet, of the better conducting one.
        """
        model, (even, eddy) = self.transient.sweep.fine.model, self._eddy
        d, space = model.discretisation, model.space
        groups = even.shape[1]
        both = np.concatenate((even, eddy), axis=1)
        gram = both.T @ (weights[:, None] * both)
        found = np.zeros(len(d.mesh.points))
        for number, (region, factor) in enumerate(zip(space.regions, model.factors, strict=True)):
            inside = np.unique(d.mesh.triangles[d.mesh.region == number])
            field = np.zeros((len(inside), groups + space.basis.shape[1]))
            field[:, region.group], field[:, groups:] = 1.0, space.basis[inside]
            density = space.discretisation.metals[number].conductivity * factor * _form(field, gram)
            found[inside] = np.maximum(found[inside], density)
        return found


@dataclass(frozen=True, eq=False)
class MomentaryFlow(Flow):
    """The field at one instant, real."""

    now: ComplexArray

    @cached_property
    def electric(self) -> ComplexArray:
        """E at the unknowns in the metal [V/m]."""
        return self.now


@dataclass(frozen=True, eq=False)
class FaultHistory:
    """What a current in time does to the conductors of a section; momentary values.

    Attributes
    ----------
    transient : Transient
    times : (m,) float
        [s]; closer together after a sudden change.
    drive : (m, circuits) float
        [A]
    currents : (m, conductors) float
        [A]
    losses : (m, conductors) float
        [W/m]
    energy : (m, conductors) float
        Heat left in every conductor since t = 0 [J/m].
    force : (m, conductors, 2) float
        [N/m]
    heating : (points,) float
        Heat per volume at the corners of the mesh, before any of it spreads [J/m3].
    error : float
        Relative bound on the energies: that of the resistances over the band, for the energy of a current is its
        spectrum weighted with them (Parseval).
    force_error : float
        Bound on the error of any force over the largest one.
    """

    transient: Transient
    times: FloatArray
    drive: FloatArray
    currents: FloatArray
    losses: FloatArray
    energy: FloatArray
    force: FloatArray
    heating: FloatArray
    error: float
    force_error: float

    @property
    def resolved(self) -> BoolArray:
        """Which times the band resolves, (m,): before 1 / (2 pi f) of its highest frequency it says little."""
        return np.asarray(self.times >= 1 / (2 * math.pi * float(self.transient.sweep.frequency.max())))

    @property
    def hot_spots(self) -> tuple[FloatArray, FloatArray]:
        """Largest heat per volume of every conductor over its mean, (conductors,), and where, (conductors, 2) [m]."""
        mesh = self.transient.sweep.fine.model.discretisation.mesh
        part = np.array([*(p for p, _ in mesh.regions), -1])[mesh.region]
        found, places = [], []
        for number, conductor in enumerate(self.transient.sweep.problem.conductors):
            inside = np.unique(mesh.triangles[part == number])
            top = inside[self.heating[inside].argmax()]
            mean = self.energy[-1, number] / conductor.part.area
            found.append(float(self.heating[top] / mean) if mean > 0 else 0.0)
            places.append(mesh.points[top])
        return np.array(found), np.array(places)


def fault_history(sweep: Sweep, circuit: str | Sequence[str], waveform: Waveform | Sequence[Waveform]) -> FaultHistory:
    """Follow a current in time through a section; the circuits not named carry none.

    Parameters
    ----------
    sweep : Sweep
        Of a band that holds the current's spectrum.
    circuit : str or sequence of str
        Circuits that carry a current.
    waveform : Waveform or one for each of them

    Raises
    ------
    SweepError
        An unknown circuit, or a current of too many periods.

    Examples
    --------
    >>> from crosscurrent.geometries.section import Part
    >>> from crosscurrent.geometries.shapes import round_bar
    >>> from crosscurrent.solver.materials import MATERIALS
    >>> from crosscurrent.solver.problem import Circuit, Conductor, Problem
    >>> from crosscurrent.solver.surge import step
    >>> from crosscurrent.solver.sweep import sweep
    >>> rod = Conductor(Part("rod", round_bar(0.010)), MATERIALS["copper"])
    >>> band = sweep(Problem((rod,), (Circuit("feed", 1.0, ("rod",)),)), [1.0, 1e5])
    >>> late = fault_history(band, "feed", step(1000.0, 1.0))
    >>> round(float(late.energy[-1, 0]), 2)  # 219.52 W/m for a second, and a little for the skin at first
    219.55
    """
    known = [c.name for c in sweep.problem.circuits]
    names = [circuit] if isinstance(circuit, str) else list(circuit)
    waves = [waveform] * len(names) if isinstance(waveform, Waveform) else list(waveform)
    if unknown := [n for n in names if n not in known]:
        raise SweepError(f'a current in time: expected circuits among {", ".join(known)}, found "{unknown[0]}"')
    by_name = dict(zip(names, waves, strict=True))
    transient = Transient(by_circuits(sweep), tuple(by_name.get(n) for n in known))
    size = np.hypot(*np.moveaxis(sweep.fine.force, -1, 0)).max(axis=1)
    apart = float((sweep.force_errors.max(axis=1) / np.where(size > 0, size, np.inf)).max())
    edges = transient.edges
    heat, heating = _heat(transient, edges)
    here = [transient.at(edges[k : k + BLOCK]) for k in range(0, len(edges), BLOCK)]
    drive, currents, losses, force = (
        np.concatenate([getattr(part, name) for part in here]) for name in ("drive", "currents", "losses", "force")
    )
    energy = np.concatenate((np.zeros((1, heat.shape[1])), np.cumsum(heat, axis=0)))
    return FaultHistory(
        transient, edges, drive, currents, losses, energy, force, heating, float(sweep.bounds.max()), apart
    )


def _heat(transient: Transient, edges: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Heat of every conductor between the edges (panels, conductors) [J/m], and per volume in all (points,) [J/m3]."""
    rows, density = [], np.zeros(0)
    for first in range(0, len(edges) - 1, BLOCK // len(NODES)):
        part = edges[first : first + BLOCK // len(NODES) + 1]
        length = np.diff(part)[:, None]
        within = transient.at((part[:-1, None] + 0.5 * (1 + NODES) * length).ravel())
        weights = (0.5 * WEIGHTS * length).ravel()
        rows.append((within.losses * weights[:, None]).reshape(len(length), len(NODES), -1).sum(axis=1))
        found = within.heating(weights)
        density = density + found if len(density) else found
    return np.concatenate(rows), density


def at_frequency(sweep: Sweep, circuit: Sequence[str], currents: Sequence[complex], frequency: float) -> Sweep:
    """The steady state at one frequency of the same band, with currents [A rms] in some circuits and none in others."""
    given = dict(zip(circuit, currents, strict=True))
    circuits = tuple(replace(c, current=given.get(c.name, 0j)) for c in sweep.problem.circuits)
    return replace(sweep, problem=replace(sweep.problem, circuits=circuits)).at([frequency])


def _answer(rates: FloatArray, rate: complex, times: FloatArray) -> tuple[ComplexArray, ComplexArray]:
    """Solution of dx/dt = -w x + exp(rate t) from x = 0, and its derivative, for every w, both (m, r)."""
    total = rate + rates
    near = np.abs(total) < 1e-3 * rates
    own, given = np.exp(-times[:, None] * rates), np.exp(times * rate)[:, None]
    safe = np.where(near, 1.0, total)
    state = (given - own) / safe
    change = (rate * given + rates * own) / safe
    if near.any():
        w, small = rates[near], np.where(total[near] == 0, 1e-300, total[near])
        with np.errstate(over="ignore", invalid="ignore"):
            close = own[:, near] * np.expm1(small * times[:, None]) / small
        state[:, near] = np.nan_to_num(close)
        change[:, near] = given - w * state[:, near]
    return state, change


def _form(field: FloatArray, matrix: FloatArray) -> FloatArray:
    """field' matrix field for every row, (m,)."""
    return np.asarray(((field @ matrix) * field).sum(axis=1))
