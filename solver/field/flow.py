"""What the flow of current in a section answers, however it was found."""

from __future__ import annotations

from typing import Protocol

import numpy as np

from crosscurrent.geometries.arrays import ComplexArray, FloatArray

from .discretisation import Discretisation
from .force import Forces
from .problem import Circuit, Problem


class Flow(Protocol):
    """Where current flows in a section: in the steady state, or at one instant."""

    @property
    def problem(self) -> Problem:
        """Conductors and circuits."""
        ...

    @property
    def discretisation(self) -> Discretisation:
        """Mesh, metals and order of the fields."""
        ...

    @property
    def lifted(self) -> bool:
        """Whether field-free cores of the metal were left out."""
        ...

    @property
    def currents(self) -> ComplexArray:
        """Of every conductor, (conductors,) [A]; rms phasors in the steady state."""
        ...

    @property
    def electric(self) -> ComplexArray:
        """E at the unknowns in the metal, (unknowns,) [V/m]; rms phasors in the steady state."""
        ...


class SteadyFlow(Flow, Protocol):
    """A flow in the steady state at one frequency, as rms phasors."""

    @property
    def frequency(self) -> float:
        """[Hz]"""
        ...

    @property
    def impedance(self) -> ComplexArray | None:
        """Of all conductors against the common return, (conductors, conductors) [ohm/m]; None where it is not known."""
        ...

    @property
    def voltages(self) -> ComplexArray:
        """Along every conductor, (conductors,) [V/m]."""
        ...

    @property
    def potential(self) -> ComplexArray:
        """A at all unknowns, (unknowns,) [Vs/m]."""
        ...

    @property
    def active(self) -> FloatArray:
        """1 for the triangles of metal that hold a field, 0 for those of a field-free core left out, (m,)."""
        ...

    @property
    def region_powers(self) -> ComplexArray:
        """Loss + j w integral |B|^2 / mu of every region of metal, rough surfaces included, (regions,) [W/m]."""
        ...

    @property
    def region_losses(self) -> FloatArray:
        """Loss of every region of metal, (regions,) [W/m]."""
        ...

    @property
    def region_currents(self) -> ComplexArray:
        """integral J of every region of metal, (regions,) [A]."""
        ...

    @property
    def powers(self) -> ComplexArray:
        """Complex power of every conductor's own volume, (conductors,) [W/m]."""
        ...

    @property
    def force(self) -> FloatArray:
        """Time-average force on every conductor, (conductors, 2) [N/m]."""
        ...

    @property
    def forces(self) -> Forces:
        """Mean and swing of the force, with what their errors are found from."""
        ...

    def driven(self, circuits: tuple[Circuit, ...]) -> SteadyFlow:
        """The same fields with other currents in the same circuits."""
        ...

    def circuit(self, circuit: Circuit) -> complex:
        """Terminal voltage of a circuit [V/m]."""
        ...

    @property
    def circuit_impedance(self) -> ComplexArray:
        """Terminal voltage of every circuit per ampere of each, all others open, (circuits, circuits) [ohm/m]."""
        ...

    def inductance(self, circuit: Circuit) -> float:
        """Reactance over w of a circuit [H/m]; at 0 Hz its limit."""
        ...


def is_steady(flow: SteadyFlow) -> bool:
    """Whether the currents stand still: 0 Hz and one phase."""
    square = flow.currents**2
    return flow.frequency == 0 and bool(abs(square.sum()) > (1 - 1e-9) * np.abs(square).sum())
