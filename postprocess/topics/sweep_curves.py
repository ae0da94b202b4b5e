"""What a sweep says as a whole: resistance, inductance, loss, sharing over frequency, and where the skin takes over."""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np

from ..geometries.outline import FloatArray
from ..solver.problem import Circuit, Conductor
from .answers import Answers
from .units import concise, engineering, error_bar, in_mm_and_thou

CORNER = math.sqrt(2)  # R over its direct-current value at the corner: as a filter's, where the square has doubled
STEEP = 0.1  # decades at the upper end that the growth is read from


@dataclass(frozen=True, eq=False)
class Curves:
    """One circuit over the frequencies of a sweep.

    Attributes
    ----------
    circuit : Circuit
    conductors : tuple of Conductor
        Its own.
    idle : tuple of Conductor
        Those of the section that belong to no circuit.
    frequency : (m,) float
        [Hz], rising.
    points : sequence of Answers
        At these frequencies.
    coupled : bool
        Whether other circuits carry current too: then the terminals also count power that passes between circuits.
    """

    circuit: Circuit
    conductors: tuple[Conductor, ...]
    idle: tuple[Conductor, ...]
    frequency: FloatArray
    points: Sequence[Answers]
    coupled: bool = False

    def of(self, name: str) -> FloatArray:
        """A figure of the circuit's answers at all frequencies, (m,); NaN where there is none."""
        return np.array([getattr(p.circuits[self.circuit.name], name) for p in self.points], dtype=float)

    def by_conductor(self, name: str) -> dict[str, FloatArray]:
        """A figure of its conductors' answers and of those in no circuit, each (m,)."""
        every = (c.name for c in (*self.conductors, *self.idle))
        return {n: np.array([getattr(p.conductors[n], name) for p in self.points]) for n in every}

    @cached_property
    def shares(self) -> dict[str, FloatArray]:
        """Magnitude of every conductor's current over the circuit's, each (m,)."""
        currents = self.by_conductor("current")
        return {c.name: np.abs(currents[c.name] / self.circuit.current) for c in self.conductors}

    @cached_property
    def skin(self) -> FloatArray:
        """Skin depth of the first conductor's base metal, (m,) [m]."""
        first = self.conductors[0]
        return np.array([first.material.skin_depth(float(f), first.temperature) for f in self.frequency])

    @property
    def resistance_name(self) -> str:
        """What `resistance` is called."""
        return "R of its own losses" if self.coupled else "R"

    @cached_property
    def resistance(self) -> FloatArray:
        """At the terminals; of coupled circuits, the loss in its own conductors per current squared, (m,) [ohm/m]."""
        if not self.coupled:
            return self.of("resistance")
        return np.asarray(self._own_losses.sum(axis=0) / abs(self.circuit.current) ** 2)

    @cached_property
    def resistance_error(self) -> FloatArray:
        """Relative bound on its error, (m,)."""
        if not self.coupled:
            return self.of("resistance_error")
        errors = self.by_conductor("loss_error")
        missed = self._own_losses * [errors[c.name] for c in self.conductors]
        return np.asarray(missed.sum(axis=0) / self._own_losses.sum(axis=0))

    @cached_property
    def _own_losses(self) -> FloatArray:
        losses = self.by_conductor("loss")
        return np.array([losses[c.name] for c in self.conductors])

    @cached_property
    def corner(self) -> float | None:
        """Where R is the square root of two times its direct-current value [Hz]; None outside the sweep."""
        from scipy.interpolate import PchipInterpolator

        ratio = self.resistance / self._dc
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
    def sentences(self) -> tuple[str, ...]:
        """Where the skin takes over, and how far R and L move over the sweep."""
        ratio, inductance, name = self.resistance / self._dc, self.of("inductance"), self.resistance_name
        low, high = (concise(float(f), "Hz", 3) for f in self.frequency[[0, -1]])
        rest = f"1.41 times its direct-current value ({engineering(self._dc, 'ohm/m')})"
        if self.corner is not None:
            skin = self.conductors[0].material.skin_depth(self.corner, self.conductors[0].temperature)
            head = (
                f"{self.circuit.name}: the skin takes over at {concise(self.corner, 'Hz', 3)}, where {name} is {rest} "
                f"and the skin is {in_mm_and_thou(skin)} deep"
            )
        elif ratio[0] >= CORNER:
            head = f"{self.circuit.name}: the skin has taken over below {low} already, where {name} is "
            head += f"{ratio[0]:.3g} times its direct-current value"
        else:
            head = f"{self.circuit.name}: the section stays filled up to {high}: {name} does not reach {rest}"
        tail = (
            f"{self.circuit.name}: at {high} {name} is {ratio[-1]:.4g} times its direct-current value and grows as "
            f"f^{self.growth:.2f}; L falls from {engineering(float(inductance[0]), 'H/m')} to "
            f"{engineering(float(inductance[-1]), 'H/m')} (a skin alone gives f^0.50)"
        )
        if self.coupled:
            terminals = engineering(float(self.of("resistance")[-1]), "ohm/m")
            tail += f"; R at its terminals, {terminals} there, also counts power that passes between circuits"
        resistance, reactance = (error_bar(bar) for bar in self.widest)
        bars = f"error bars over the sweep: {name} at most {resistance}, L at most {reactance}"
        return head, tail, f"{self.circuit.name}: {bars}"

    @property
    def _dc(self) -> float:
        return self.points[0].circuits[self.circuit.name].dc_resistance

    @property
    def widest(self) -> tuple[float, float]:
        """Largest relative bounds on R and L."""
        return float(self.resistance_error.max()), float(self.of("inductance_error").max())

    def record(self) -> dict[str, Any]:
        """For the results document."""
        return {
            "circuit": self.circuit.name,
            "corner_hz": self.corner,
            "corner_ratio": CORNER,
            "growth_exponent": self.growth,
            "largest_resistance_error": self.widest[0],
            "largest_inductance_error": self.widest[1],
        }


def curves_of(
    points: Sequence[Answers], circuits: Sequence[Circuit], conductors: Sequence[Conductor]
) -> tuple[Curves, ...]:
    """One for each circuit that carries current."""
    by_name, frequency = {c.name: c for c in conductors}, np.array([p.frequency for p in points])
    used = {name for circuit in circuits for name in (*circuit.out, *circuit.back)}
    idle = tuple(c for c in conductors if c.name not in used)
    driven = [circuit for circuit in circuits if circuit.current]
    return tuple(
        Curves(
            circuit, tuple(by_name[n] for n in (*circuit.out, *circuit.back)), idle, frequency, points, len(driven) > 1
        )
        for circuit in driven
    )


def sweep_csv(points: Sequence[Answers]) -> str:
    """One row per frequency: R and L of every circuit with their bars, the loss of every conductor with its own.

    Examples
    --------
    >>> sweep_csv(())
    'frequency_hz\\n'
    """
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    first = points[0] if points else None
    head = ["frequency_hz"]
    for name in first.circuits if first else ():
        head += [f"{name}: {what}" for what in ("resistance_ohm_per_m", "resistance_error", "inductance_h_per_m",
                                                "inductance_error", "resistance_ratio")]  # fmt: skip
    for name in first.conductors if first else ():
        head += [f"{name}: {what}" for what in ("loss_w_per_m", "loss_error")]
    writer.writerow(head)
    for point in points:
        row: list[float | None] = [point.frequency]
        for c in point.circuits.values():
            row += [c.resistance, c.resistance_error, c.inductance, c.inductance_error, c.resistance_ratio]
        for part in point.conductors.values():
            row += [part.loss, part.loss_error]
        writer.writerow(row)
    return out.getvalue()
