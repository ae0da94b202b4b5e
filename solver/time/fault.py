"""What a fault current does to every conductor: peaks of current and force, heat, hot spot, beside the steady state."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from crosscurrent.geometries.arrays import FloatArray
from crosscurrent.solver.band.sweep import Sweep

from .excitation import Excitation
from .history import FaultHistory, at_frequency, fault_history

ANGLES = tuple(np.radians(np.arange(-90, 90, 15)).tolist())  # of the first circuit's sine at t = 0

Made = Callable[[float], Excitation]  # the current of a circuit whose sine begins at an angle [rad]


@dataclass(frozen=True, eq=False)
class FaultCourse:
    """A fault current in some circuits, begun at one or several angles.

    Attributes
    ----------
    circuits : tuple of str
    histories : tuple of FaultHistory
    angles : tuple of float
        Of the first circuit's sine at t = 0, one for each history [rad].
    frequency : float
        Of the steady state it is compared with [Hz]; 0 for direct current.
    steady : Sweep
        At that frequency, with the rms currents.
    """

    circuits: tuple[str, ...]
    histories: tuple[FaultHistory, ...]
    angles: tuple[float, ...]
    frequency: float
    steady: Sweep

    @cached_property
    def pushes(self) -> FloatArray:
        """Largest force on every conductor in every history, (histories, conductors) [N/m]."""
        return np.array([np.hypot(*np.moveaxis(h.force[h.resolved], -1, 0)).max(axis=0) for h in self.histories])

    @property
    def worst(self) -> FaultHistory:
        """The history with the largest force of all."""
        return self.histories[int(self.pushes.max(axis=1).argmax())]

    @property
    def worst_angle(self) -> float:
        """Of that history [rad]."""
        return self.angles[int(self.pushes.max(axis=1).argmax())]

    @cached_property
    def peak_force(self) -> FloatArray:
        """Largest force on every conductor, (conductors,) [N/m]."""
        return np.asarray(self.pushes.max(axis=0))

    @cached_property
    def peak_current(self) -> FloatArray:
        """Largest momentary current of every conductor, (conductors,) [A]."""
        return np.asarray(np.max([np.abs(h.currents[h.resolved]).max(axis=0) for h in self.histories], axis=0))

    @cached_property
    def peak_drive(self) -> FloatArray:
        """Largest momentary current of every circuit of the case, (circuits,) [A]."""
        return np.asarray(np.max([np.abs(h.drive).max(axis=0) for h in self.histories], axis=0))

    @cached_property
    def energy(self) -> FloatArray:
        """Heat left in every conductor at the end, at most, (conductors,) [J/m]."""
        return np.asarray(np.max([h.energy[-1] for h in self.histories], axis=0))

    @cached_property
    def steady_energy(self) -> FloatArray:
        """Heat that the rms current would leave there in the steady state for as long, (conductors,) [J/m]."""
        return np.asarray(self.steady.fine.losses[0] * self.worst.times[-1])

    @cached_property
    def steady_force(self) -> FloatArray:
        """Size of the mean force in the steady state, (conductors,) [N/m]."""
        return np.asarray(np.hypot(*self.steady.fine.force[0].T))

    @cached_property
    def joule_integral(self) -> FloatArray:
        """integral of i^2 of every circuit of the case, at most, (circuits,) [A2 s]."""
        found = []
        for history in self.histories:
            square, length = history.drive**2, np.diff(history.times)[:, None]
            middle = history.transient.at(0.5 * (history.times[1:] + history.times[:-1])).drive ** 2
            found.append((length * (square[1:] + square[:-1] + 4 * middle)).sum(axis=0) / 6)
        return np.asarray(np.max(found, axis=0))


def follow(sweep: Sweep, circuits: Sequence[str], made: Made, rms: float, frequency: float) -> FaultCourse:
    """A fault current in some circuits, each later by its own phase.

    Parameters
    ----------
    sweep : Sweep
        Of a band that holds the spectrum, with a drive for each circuit.
    circuits : sequence of str
        Where there are several, the current begins at each of 12 angles in turn: which is worst differs from one
        conductor to the next. Otherwise it begins at -90 degrees, where the offset of a sine is largest.
    made : callable
        The current for an angle of its sine at t = 0 [rad].
    rms, frequency : float
        Of the steady state to compare with [A], [Hz].
    """
    phases = {c.name: float(np.angle(c.current)) for c in sweep.problem.circuits}
    apart = [phases[name] - phases[circuits[0]] for name in circuits]
    angles = ANGLES if len(circuits) > 1 and frequency else ANGLES[:1]
    histories = tuple(fault_history(sweep, circuits, [made(angle + p) for p in apart]) for angle in angles)
    currents = [rms * np.exp(1j * p) for p in apart]
    steady = at_frequency(sweep, circuits, currents, frequency)
    return FaultCourse(tuple(circuits), histories, angles, frequency, steady)
