"""Short overloads: how warm conductors get in a time in which no heat gets away.

Every conductor is as warm all over its section: metal evens out its temperature in seconds, air cools it in minutes.
"""

from __future__ import annotations

import numpy as np

from crosscurrent.geometries.arrays import FloatArray
from crosscurrent.solver.elements.half_plane import Weight
from crosscurrent.solver.elements.operators import Elements
from crosscurrent.solver.field.problem import Conductor
from crosscurrent.solver.field.solution import Solution

from .balance import Sources
from .electrothermal import conduction_in, measured_exponent, sources_in
from .strand_heat import conduction_of, metal_share

SHORT = 5.0  # seconds up to which the heat given away is left out: IEC 60364-4-43, IEC 60865-1
SCATTER = 0.05  # of a rise without losses: heat capacity and resistivity of what is bought; common practice, no source


def thermal_mass(elements: Elements, conductors: tuple[Conductor, ...]) -> FloatArray:
    """Heat that one degree takes, (conductors,): per metre of a straight run [J/(m K)], of what goes round an axis in
    all [J/K]; nan where a metal's is not known.

    Examples
    --------
    A rod of copper of 20 mm, 8890 kg/m3 and 385 J/(kg K):

    >>> from crosscurrent.geometries.plane.shapes import round_bar
    >>> from crosscurrent.solver.field.solve import solve
    >>> from crosscurrent.solver.field.alone import alone
    >>> solution = solve(alone(round_bar(0.020)), 0.0)
    >>> round(float(thermal_mass(solution.fine.discretisation.elements, solution.problem.conductors)[0]), 2)
    1075.26
    """
    mesh = elements.mesh
    if mesh.axial:
        elements = Elements(mesh, elements.order, Weight.VOLUME)
    area = np.bincount(mesh.region[elements.metal], elements.mass_blocks.sum(axis=(1, 2)), minlength=len(mesh.regions))
    metals = [m for c in conductors for m in c.metals]
    share = np.array([metal_share(c) for c in conductors for _ in c.metals])
    each = share * np.array([(m.density or np.nan) * (m.heat_capacity or np.nan) for m in metals])
    return np.bincount(mesh.part_of_region, area * each, minlength=len(conductors)).astype(float)


def adiabatic(sources: Sources, mass: FloatArray, start: FloatArray, duration: float) -> FloatArray:
    """Temperatures after a time in which no heat gets away, (conductors,) [degC].

    Parameters
    ----------
    sources : Sources
        Scaled to the current.
    mass : (conductors,) float
        [J/(m K)]
    start : (conductors,) float
        [degC]
    duration : float [s]

    Notes
    -----
    With r the resistivity over that at the computed temperature, r' = b r^e: r^(1-e) grows linearly, or ln r for
    e = 1. That is the formula behind the k values of IEC 60364-5-54 and the rated short-time densities of IEC 60865-1,
    with the resistance to alternating current in place of the other.
    """
    rises = sources.scale * sources.power * duration / mass
    rows = zip(sources.conductors, rises, start, sources.exponent, strict=True)
    return np.array([warmed_by(c, float(rise), float(t), exponent=float(e)) for c, rise, t, e in rows])


def warmed_by(conductor: Conductor, rise: float, start: float, *, exponent: float = 1.0) -> float:
    """Temperature after a heat that would bring a rise if the resistance did not grow.

    Parameters
    ----------
    conductor : Conductor
        At the temperature the heat was computed for.
    rise : float
        Heat over thermal mass [K].
    start : float [degC]
    exponent : float
        Of the heat over the resistivity.

    Examples
    --------
    >>> from crosscurrent.geometries.plane.part import Part
    >>> from crosscurrent.geometries.plane.shapes import round_bar
    >>> from crosscurrent.solver.metals.materials import MATERIALS
    >>> round(warmed_by(Conductor(Part("rod", round_bar(0.01)), MATERIALS["copper"], 20.0), 100.0, 20.0), 1)
    142.5
    """
    metal, now = conductor.material, conductor.temperature
    if not (metal.temperature_coefficient and metal.conductivity):
        return start + rise
    slope = metal.temperature_coefficient * metal.conductivity_at(now) / metal.conductivity
    ratio = 1 + slope * (start - now)
    if abs(1 - exponent) < 1e-9:
        ratio *= np.exp(slope * rise)
    else:
        power = ratio ** (1 - exponent) + (1 - exponent) * slope * rise
        ratio = power ** (1 / (1 - exponent)) if power > 0 else np.inf
    return float(now + (ratio - 1) / slope)


def heated_once(
    solution: Solution, mass: FloatArray, start: FloatArray, duration: float, *, factor: float = 1.0
) -> FloatArray:
    """As `adiabatic`, with the heat of a solution at a factor on all its currents, (conductors,) [degC]."""
    sources = sources_in(solution, conduction_in(solution), measured_exponent(solution))
    return adiabatic(sources.scaled(factor), mass, start, duration)


def evens_out(conductor: Conductor, duration: float) -> bool:
    """Whether heat has time [s] to cross half the thickness of a conductor; True where its data are not known.

    Examples
    --------
    >>> from crosscurrent.geometries.plane.part import Part
    >>> from crosscurrent.geometries.plane.shapes import bar
    >>> from crosscurrent.solver.metals.materials import MATERIALS
    >>> busbar = Conductor(Part("bar", bar(0.1, 0.01)), MATERIALS["copper"], 20.0)  # 25 mm2 over 1.1 cm2/s
    >>> evens_out(busbar, 0.1), evens_out(busbar, 1.0)
    (False, True)
    """
    metal = conductor.material
    if not (metal.density and metal.heat_capacity):
        return True
    diffusivity = conduction_of(conductor)[0] / (metal.density * metal.heat_capacity * metal_share(conductor))
    return duration * diffusivity >= conductor.part.inscribed_radius**2
