"""The simplest problem there is: one copper conductor by itself, for examples and first steps."""

from __future__ import annotations

from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.shapes import Shape
from crosscurrent.solver.metals.materials import MATERIALS

from .problem import Circuit, Conductor, Problem


def alone(shape: Shape, current: float = 1.0, name: str = "rod") -> Problem:
    """One copper conductor at 20 degC in the circuit "feed", its return far outside.

    Parameters
    ----------
    shape : Shape
    current : float [A rms]
    name : str
        Of the conductor.

    Examples
    --------
    >>> from crosscurrent.geometries.plane.shapes import round_bar
    >>> alone(round_bar(0.025), 100.0).circuits[0].current
    100.0
    """
    return Problem((Conductor(Part(name, shape), MATERIALS["copper"]),), (Circuit("feed", current, (name,)),))
