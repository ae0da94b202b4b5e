"""What solving a problem at one frequency leaves: flows of two orders, and the error bars that they give."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from crosscurrent.geometries.arrays import ComplexArray, FloatArray, same

from .bars import FLOOR, circuit_bars, counted, force_bars, power_bars, relative_bars, worst_bar
from .field_warning import FieldWarning
from .flow import SteadyFlow
from .indicator import changed_in_air, hidden_at_corners, indicators, left_at_corners
from .problem import Circuit, Problem
from .region_metals import any_magnetic
from .solved_flow import SolvedFlow
from .steel import BAND, LOOSEST, SteelFlows
from .strand_bars import strand_inductances, strand_losses


@dataclass(frozen=True, eq=False, repr=False)
class Solution:
    """The finest flow, and the next coarser one on the same mesh that its error bars come from.

    Attributes
    ----------
    problem : Problem
    frequency : float [Hz]
    fine, coarse : SteadyFlow
    refinements : int
        Solves beyond the first pair.
    wanted : float
        Relative bound asked for.
    warnings : tuple of FieldWarning
    steel : SteelFlows, optional
        Where steel is at its field strength: the linear flow, and that which the band of the bars comes from.
    """

    problem: Problem
    frequency: float
    fine: SteadyFlow
    coarse: SteadyFlow
    refinements: int
    wanted: float
    warnings: tuple[FieldWarning, ...] = ()
    steel: SteelFlows | None = None

    def __repr__(self) -> str:
        return f"<{type(self).__name__} at {self.frequency:g} Hz of {self.problem!r}>"

    def __eq__(self, other: object) -> bool:
        return same(self, other)

    __hash__ = None  # type: ignore[assignment]

    @cached_property
    def power_errors(self) -> FloatArray:
        """Bound on the error of every conductor's loss, (conductors,) [W/m]; see `bars.power_bars`, `strand_losses`."""
        return np.asarray(self._lost + self.power_bands)

    @cached_property
    def power_bands(self) -> FloatArray:
        """The part that the model of steel at its field strength leaves open, (conductors,) [W/m]."""
        if (other := self._other) is None:
            return np.zeros(len(self.problem.conductors))
        return np.asarray(BAND * np.abs(self.fine.powers.real - other.powers.real))

    @cached_property
    def _lost(self) -> FloatArray:
        """What orders, strands and the search for the permeability leave open, (conductors,) [W/m]."""
        found = self.mesh_errors + strand_losses(self.fine)
        if self.steel is not None:
            steel = np.array([c.is_saturable for c in self.problem.conductors])
            found = found + min(self.wanted, LOOSEST) * np.abs(self.fine.powers) * steel
        return np.asarray(found)

    @property
    def _other(self) -> SolvedFlow | None:
        """With the permeability of a sine of B, at the finer order."""
        return None if self.steel is None else self.steel.other

    @cached_property
    def mesh_errors(self) -> FloatArray:
        """The part of `power_errors` that a finer mesh lessens, (conductors,) [W/m]."""
        flows = self.fine.powers[None], self.coarse.powers[None]
        return np.asarray(power_bars(*flows, self.left, self._hidden)[0])

    @cached_property
    def indicators(self) -> FloatArray:
        """Where the error sits: energy of the change from one order to the next, by triangle, (t,) [W/m]."""
        return indicators(self.fine, self.coarse)

    @cached_property
    def left(self) -> float:
        """What the finer order may still miss over what it changed."""
        return left_at_corners(self.fine, self.indicators) if any_magnetic(self.fine.discretisation.metals) else 1.0

    @cached_property
    def _hidden(self) -> float:
        """What the finer order misses round an axis where permeability jumps at corners, over all loss."""
        magnetic = self.problem.axial and any_magnetic(self.fine.discretisation.metals)
        return hidden_at_corners(self.fine, self.indicators) if magnetic else 0.0

    @cached_property
    def _changed_in_air(self) -> float:
        return self.left * changed_in_air(self.fine, self.coarse)

    @cached_property
    def loss_errors(self) -> FloatArray:
        """Relative bound on the error of every conductor's loss."""
        return relative_bars(self.power_errors, self.fine.powers.real)

    def circuit_errors(self, circuit: Circuit) -> tuple[float, float]:
        """Relative bounds on a circuit's resistance and inductance."""
        stored = strand_inductances(self.problem) @ np.abs(self.fine.currents) ** 2
        resistance, inductance = self._of_circuit(circuit, float(self._lost.sum()), float(stored))
        steel = self.circuit_bands(circuit)
        return resistance + steel[0], inductance + steel[1]

    def circuit_bands(self, circuit: Circuit) -> tuple[float, float]:
        """The parts of both that the model of steel at its field strength leaves open."""
        if (other := self._other) is None:
            return 0.0, 0.0
        now, then = (flow.circuit(circuit) / circuit.current for flow in (self.fine, other))
        off = BAND * np.abs(np.array([now.real / then.real, now.imag / then.imag]) - 1)
        return float(off[0]), float(off[1])

    def _of_circuit(self, circuit: Circuit, lost: float, stored: float) -> tuple[float, float]:
        """The same for losses off by so much [W/m] and twice the energy of the strands [J/m]."""
        square, flows = abs(circuit.current) ** 2, (self.fine, self.coarse)
        resistance, before = (np.array([(f.circuit(circuit) / circuit.current).real]) for f in flows)
        inductance, earlier = (np.array([f.inductance(circuit)]) for f in flows)
        inner, air = np.array([lost / square]), np.array([self._changed_in_air / square])
        omega = np.array([2 * np.pi * self.frequency])
        bars = circuit_bars((resistance, before), (inductance, earlier), self.left, inner, air, omega)
        return float(bars[0][0]) + FLOOR, float(bars[1][0]) + FLOOR + stored / square / abs(float(inductance[0]))

    @cached_property
    def impedance_change(self) -> ComplexArray:
        """What the order below leaves open of the impedance of the circuits, (circuits, circuits) [ohm/m]."""
        return np.asarray(self.left * (self.fine.circuit_impedance - self.coarse.circuit_impedance))

    def _counts(self, circuit: Circuit) -> float:
        resistance = (self.fine.circuit(circuit) / circuit.current).real
        least = self.fine.powers.real @ self.problem.parts(circuit) / abs(circuit.current) ** 2
        return float(counted(np.array([resistance]), np.array([least]))[0])

    @cached_property
    def bound(self) -> float:
        """Largest relative bound on any loss that matters and on any circuit's resistance; at 0 Hz on inductance.

        Round an axis on the energy as well: the inductance of a coil is asked for as often as its resistance.
        Of what a finer mesh lessens: the rest of a bundle's bars stays.
        """
        which = 0 if self.frequency else 1
        driven = [c for c in self.problem.circuits if c.current and not c.shorted]
        counts = [self._counts(c) if self.frequency and len(driven) > 1 else 1.0 for c in driven]
        lost = float(self.mesh_errors.sum())
        circuits = [counts[k] * np.array([self._of_circuit(c, lost, 0.0)[which]]) for k, c in enumerate(driven)]
        if self.problem.axial and self.frequency and self._reactive:
            floor = FLOOR * float(self.fine.powers.real.sum())  # which no mesh lessens, however weak the field
            circuits.append(np.array([(lost - floor + self._changed_in_air) / self._reactive]))
        return float(worst_bar(self.mesh_errors[None], self.fine.powers.real[None], circuits)[0])

    @cached_property
    def force_errors(self) -> FloatArray:
        """Bound on the error of every conductor's force, (conductors,) [N/m]; see `bars.force_bars`."""
        energy = self._changed_in_air + (self._lost.sum() if self.frequency else 0.0)
        changed = self.left * self.fine.forces.errors(self.coarse.forces)
        over = np.array([self._reactive or 1.0])
        bars = force_bars(changed[None], self.fine.force[None], np.array([energy]), over)[0]
        if (other := self._other) is not None:
            bars = bars + BAND * np.hypot(*(self.fine.force - other.force).T)
        return np.asarray(bars)

    @property
    def scale(self) -> float:
        """What the indicators are to be small against [W/m]."""
        return float(np.abs(self.fine.powers).sum()) if self.frequency else self._reactive

    @cached_property
    def _reactive(self) -> float:
        """Angular frequency, 1 at 0 Hz, times twice the energy of the field [W/m]."""
        omega = 2 * np.pi * self.frequency or 1.0
        driven = [c for c in self.problem.circuits if c.current and not c.shorted]
        return omega * sum(abs(self.fine.inductance(c)) * abs(c.current) ** 2 for c in driven)


@dataclass(frozen=True, eq=False, repr=False)
class DirectSolution(Solution):
    """A solution whose fields were solved for, so that other currents can drive them as well."""

    fine: SolvedFlow
    coarse: SolvedFlow

    @property
    def keeps(self) -> bool:
        """Whether the factors are there."""
        return self.fine.fields.system is not None

    def forget(self) -> None:
        """Let go of the factors, far larger than all else."""
        for flow in (self.fine, self.coarse):
            flow.fields.forget()
