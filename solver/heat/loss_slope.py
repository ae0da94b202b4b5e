"""What a temperature that is known within a band leaves open of a loss."""

from __future__ import annotations

from crosscurrent.solver.field.problem import Conductor


def loss_slope(conductor: Conductor) -> float:
    """Relative change of a conductor's loss per degree, at most [1/K].

    That of its resistivity: a loss in a thin skin grows with the root of it only.

    Examples
    --------
    >>> from crosscurrent.geometries.plane.part import Part
    >>> from crosscurrent.geometries.plane.shapes import round_bar
    >>> from crosscurrent.solver.metals.materials import MATERIALS
    >>> round(loss_slope(Conductor(Part("rod", round_bar(0.01)), MATERIALS["copper"], 20.0)), 5)
    0.00393
    """
    metal = conductor.material
    if not metal.conductivity:
        return 0.0
    slope = metal.temperature_coefficient * metal.conductivity_at(conductor.temperature) / metal.conductivity
    return abs(slope)
