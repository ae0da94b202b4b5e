"""The curves of a circuit over frequency: resistance, inductance, loss, sharing, and where the skin takes over."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from crosscurrent.geometries.arrays import FloatArray
from crosscurrent.postprocess.answers.answers import Answers, ConductorAnswer
from crosscurrent.postprocess.answers.bundle_sums import whole_conductors
from crosscurrent.solver.field.problem import Circuit, Conductor

CORNER = math.sqrt(2)  # R over its direct-current value at the corner: as a filter's, where the square has doubled
LOADED = 0.05  # of all loss, from which what is in no circuit is told
WHOLE = 1e-6  # off a share of one that counts as none
STEEP = 0.1  # decades at the upper end that the growth is read from


@dataclass(frozen=True, eq=False)
class SweepCurves:
    """One circuit over the frequencies of a sweep.

    Attributes
    ----------
    circuit : Circuit
    conductors : tuple of Conductor
        Those it names, shared ones included.
    idle : tuple of Conductor
        Those of the section that belong to no circuit.
    frequency : (m,) float
        [Hz], rising.
    points : sequence of Answers
        At these frequencies.
    coupled : bool
        Whether other circuits carry current too, and it has conductors of its own: the terminals also count power that
        passes between circuits, its own conductors do not.
    terminal : bool
        Whether other circuits carry current too, and it shares all its conductors: only the terminals are its own.
    """

    circuit: Circuit
    conductors: tuple[Conductor, ...]
    idle: tuple[Conductor, ...]
    frequency: FloatArray
    points: Sequence[Answers]
    coupled: bool = False
    terminal: bool = False

    @property
    def loaded(self) -> bool:
        """Whether what is in no circuit makes a good part of its resistance, at the highest frequency."""
        last = self.points[-1]
        beside = sum(last.conductors[c.name].loss for c in self.idle)
        return not (self.coupled or self.terminal) and beside > LOADED * last.total_loss

    def of(self, name: str) -> FloatArray:
        """A figure of the circuit's answers at all frequencies, (m,); NaN where there is none."""
        return np.array([getattr(p.circuits[self.circuit.name], name) for p in self.points], dtype=float)

    def by_conductor(self, name: str) -> dict[str, FloatArray]:
        """A figure of its conductors' answers and of those in no circuit, bundles as one, each (m,)."""
        return {n: np.array([getattr(every[n], name) for every in self._whole]) for n in self._members}

    @cached_property
    def _whole(self) -> list[dict[str, ConductorAnswer]]:
        return [{c.name: c for c in whole_conductors(p)} for p in self.points]

    @cached_property
    def _members(self) -> dict[str, str]:
        """First strand of bundles that are solved for strand by strand, else the conductor itself, by name."""
        owner = {member: b.name for b in self.points[0].bundles.values() for member in b.members}
        found: dict[str, str] = {}
        for c in (*self.conductors, *self.idle):
            found.setdefault(owner.get(c.name, c.name), c.name)
        return found

    @cached_property
    def shares(self) -> dict[str, FloatArray]:
        """Magnitude of every conductor's current over the circuit's, each (m,); those that others use too left out."""
        currents, shared = self.by_conductor("current"), self.points[0].circuits[self.circuit.name].shared
        idle = {c.name for c in self.idle}
        own = [name for name, first in self._members.items() if first not in shared and first not in idle]
        return {name: np.abs(currents[name] / self.circuit.current) for name in own}

    @property
    def is_shared(self) -> bool:
        """Whether conductors share its current, or have no share of their own: else each carries all of it."""
        return not self.shares or any(bool(np.any(np.abs(share - 1) > WHOLE)) for share in self.shares.values())

    @cached_property
    def skin(self) -> FloatArray:
        """Skin depth of the first conductor's base metal, (m,) [m]."""
        first = self.conductors[0]
        return np.array([first.material.skin_depth(float(f), first.temperature) for f in self.frequency])

    @property
    def resistance_name(self) -> str:
        """What `resistance` is called."""
        return "R of its own losses" if self.coupled else "R at its terminals" if self.terminal else "R"

    @cached_property
    def resistance(self) -> FloatArray:
        """At the terminals; of coupled circuits, the loss in its own conductors per current squared, (m,) [ohm/m]."""
        return self.of("own_resistance" if self.coupled else "resistance")

    @cached_property
    def resistance_error(self) -> FloatArray:
        """Relative bound on its error, (m,)."""
        return self.of("own_resistance_error" if self.coupled else "resistance_error")

    @cached_property
    def corner(self) -> float | None:
        """Where R is the square root of two times its direct-current value [Hz]; None outside the sweep.

        None of a circuit that shares all its conductors: no skin is told from power that passes between circuits.
        """
        if self.terminal:
            return None
        ratio = self.resistance / self.dc_resistance
        over = np.flatnonzero((ratio[1:] >= CORNER) & (ratio[:-1] < CORNER))
        if not len(over):
            return None
        # monotone between the points on log axes, so that few points will do
        x, y = np.log(self.frequency), np.log(np.maximum(ratio, 1e-300)) - math.log(CORNER)
        return float(np.exp(monotone_root(x, y, int(over[0]))))

    @cached_property
    def growth(self) -> float:
        """Exponent of R's growth with frequency at the upper end."""
        resistance = np.abs(self.resistance)
        k = min(int(np.searchsorted(self.frequency, self.frequency[-1] / 10**STEEP)), len(resistance) - 2)
        return float(np.log(resistance[-1] / resistance[k]) / np.log(self.frequency[-1] / self.frequency[k]))

    @property
    def dc_resistance(self) -> float:
        """Of direct current: of the loop, or of its own conductors [ohm/m]."""
        first = self.points[0].circuits[self.circuit.name]
        return first.own_dc_resistance if self.coupled else first.dc_resistance

    @property
    def widest(self) -> tuple[float, float]:
        """Largest relative bounds on R and L."""
        return float(self.resistance_error.max()), float(self.of("inductance_error").max())


def curves_of(
    points: Sequence[Answers], circuits: Sequence[Circuit], conductors: Sequence[Conductor]
) -> tuple[SweepCurves, ...]:
    """One for each circuit that carries current."""
    by_name, frequency = {c.name: c for c in conductors}, np.array([p.frequency for p in points])
    used = {name for circuit in circuits for name in circuit.members}
    idle = tuple(c for c in conductors if c.name not in used)
    driven = [circuit for circuit in circuits if circuit.current]
    found = []
    for c in driven:
        members, beside = tuple(by_name[n] for n in c.members), len(driven) > 1
        own = points[0].circuits[c.name].own_dc_resistance > 0
        found.append(SweepCurves(c, members, idle, frequency, points, beside and own, beside and not own))
    return tuple(found)


def monotone_root(x: FloatArray, y: FloatArray, k: int) -> float:
    """Where the monotone cubic through points (Fritsch and Butland 1984) is 0 between x[k], y[k] < 0 and x[k + 1].

    Examples
    --------
    >>> round(monotone_root(np.arange(4.0), np.array([-8.0, -1.0, 1.0, 8.0]), 1), 12)
    1.5
    """
    step = x[k + 1] - x[k]
    first, last = step * _slope(x, y, k), step * _slope(x, y, k + 1)
    low, high = 0.0, 1.0
    while 0.5 * (low + high) not in (low, high):
        t = 0.5 * (low + high)
        rest = 1 - t
        value = rest**2 * ((1 + 2 * t) * y[k] + t * first) + t**2 * ((1 + 2 * rest) * y[k + 1] - rest * last)
        low, high = (t, high) if value < 0 else (low, t)
    return float(x[k] + high * step)


def _slope(x: FloatArray, y: FloatArray, k: int) -> float:
    """Of that cubic at one of its points: a harmonic mean of those of the chords on both sides, 0 at a turn."""
    steps, chords = np.diff(x), np.diff(y) / np.diff(x)
    if len(chords) == 1:
        return float(chords[0])
    if 0 < k < len(chords):
        before, after = 2 * steps[k] + steps[k - 1], steps[k] + 2 * steps[k - 1]
        if chords[k - 1] * chords[k] <= 0:
            return 0.0
        return float((before + after) / (before / chords[k - 1] + after / chords[k]))
    near, far = (0, 1) if k == 0 else (-1, -2)
    slope = ((2 * steps[near] + steps[far]) * chords[near] - steps[near] * chords[far]) / (steps[near] + steps[far])
    if slope * chords[near] <= 0:
        return 0.0
    turns = chords[near] * chords[far] < 0
    return float(3 * chords[near] if turns and abs(slope) > 3 * abs(chords[near]) else slope)
