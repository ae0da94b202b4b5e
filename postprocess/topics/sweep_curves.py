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
        from scipy.interpolate import PchipInterpolator

        ratio = self.resistance / self.dc_resistance
        over = np.flatnonzero((ratio[1:] >= CORNER) & (ratio[:-1] < CORNER))
        if not len(over):
            return None
        # monotone between the points on log axes, so that few points will do
        curve = PchipInterpolator(np.log(self.frequency), np.log(np.maximum(ratio, 1e-300)))
        low, high = np.log(self.frequency[over[0] : over[0] + 2])
        roots = curve.solve(math.log(CORNER), extrapolate=False)
        inside = roots[(roots >= low - 1e-12) & (roots <= high + 1e-12)]
        return float(np.exp(inside[0])) if len(inside) else float(self.frequency[over[0] + 1])

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
