"""How warm a fault leaves the conductors."""

from __future__ import annotations

from crosscurrent.geometries.arrays import FloatArray
from crosscurrent.solver.time.fault import FaultCourse

from .adiabatic import thermal_mass, warmed_by


def temperatures_after(fault: FaultCourse, before: FloatArray, heat: FloatArray | float = 1.0) -> list[float]:
    """Mean temperatures of the conductors after a fault, no heat given away [degC].

    Parameters
    ----------
    fault : FaultCourse
        Its heat is that at the temperatures of its model; resistance rises with the metal's as it warms.
    before : (conductors,) float
        [degC]
    heat : (conductors,) float, optional
        Multiplier on the heat of each, such as that of strands which do not share it evenly.

    Returns
    -------
    list of float
        nan where density or heat capacity of a metal is not known, infinite where the metal melts.
    """
    conductors = fault.steady.problem.conductors
    mass = thermal_mass(fault.steady.fine.model.discretisation.elements, conductors)
    rises = zip(conductors, heat * fault.energy / mass, before, strict=True)
    return [warmed_by(c, float(rise), float(start)) for c, rise, start in rises]
