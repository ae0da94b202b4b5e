"""What fills the regions of a mesh: every metal of every conductor at its temperature, with what its surface does."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from functools import lru_cache

from crosscurrent.solver.metals.band_lag import BandLag, mass_of_its_own
from crosscurrent.solver.metals.band_medium import band_medium
from crosscurrent.solver.metals.depth import MU0
from crosscurrent.solver.metals.layers import Layer, flat_surface
from crosscurrent.solver.metals.materials import Material
from crosscurrent.solver.metals.roughness import Model, layered_roughening, roughening
from crosscurrent.solver.metals.strands import Medium, Strands, medium

from .discretisation import RegionMetal
from .problem import Conductor, Problem

NOTABLE = 0.05  # how far from that of air the permeability of strands counts as a jump


def region_metals(problem: Problem, frequency: float) -> tuple[RegionMetal, ...]:
    """One for every region, in the mesher's order: part by part, base metal first."""
    metals = []
    for k, (c, closed) in enumerate(zip(problem.conductors, problem.closed, strict=True)):
        if c.strands is not None:
            metals.append(strand_metal(c, c.strands, frequency, float(problem.lengths[k])))
            continue
        surface = surface_factor(c, frequency, problem.roughness_model)
        for material in c.metals:
            sigma = material.conductivity_at(c.temperature)
            curve = material.magnetisation
            lag = material.lag if frequency else 1.0
            metal = RegionMetal(sigma, material.permeability, surface, magnetisation=curve, closed=closed, lag=lag)
            metals.append(metal)
    return tuple(metals)


def strand_metal(conductor: Conductor, strands: Strands, frequency: float, length: float) -> RegionMetal:
    """The medium of a bundle, whose conductivity spreads the direct current of its strands over the outline."""
    found = _medium(conductor, strands, frequency)
    return RegionMetal(1 / (found.resistance * conductor.part.area), strands=found.along(length), length=length)


def _medium(conductor: Conductor, strands: Strands, frequency: float) -> Medium:
    conductivity = conductor.material.conductivity_at(conductor.temperature)
    return _known(strands, conductor.part.area, conductivity, frequency)


@lru_cache(maxsize=64)  # of equal bundles, and of those that a change of something else leaves alone
def _known(strands: Strands, area: float, conductivity: float, frequency: float) -> Medium:
    return medium(strands, area, conductivity, frequency)


def smooth_metals(problem: Problem, high: float = 0.0) -> tuple[RegionMetal, ...]:
    """As `region_metals`, with smooth surfaces; what follows the frequency is at rest, and known up to one [Hz]."""
    metals = []
    for c, closed, length in zip(problem.conductors, problem.closed, problem.lengths.tolist(), strict=True):
        if c.strands is not None:
            band = band_medium(c.strands, c.part.area, c.material.conductivity_at(c.temperature), high)
            metals.append(replace(strand_metal(c, c.strands, 0.0, length), band=replace(band, length=length)))
            continue
        metals += [_smooth_metal(c, metal, closed, high) for metal in c.metals]
    return tuple(metals)


def _smooth_metal(conductor: Conductor, material: Material, closed: bool, high: float) -> RegionMetal:
    sigma, mu = material.conductivity_at(conductor.temperature), material.permeability
    if sigma and material.lag == 1:
        return RegionMetal(sigma, mu, closed=closed)
    band = BandLag(material.lag, conducts=sigma > 0)
    return RegionMetal(sigma or mass_of_its_own(mu, conductor.part.area, high), mu, closed=closed, band=band)


def surface_factor(conductor: Conductor, frequency: float, model: Model = "gradient") -> complex:
    """What the roughness of a conductor multiplies its surface impedance with; 1 if it is smooth, or at 0 Hz.

    The gradient model sees the layers below the rough one; the fits know the outermost metal's skin only.
    """
    if conductor.roughness == 0 or frequency == 0:
        return 1.0
    temperature = conductor.temperature
    if model == "gradient" and conductor.coats:
        thicknesses = (math.inf, *conductor.part.coats)
        metals = (conductor.material, *conductor.coats)
        stack = [Layer(metal, thickness) for metal, thickness in zip(metals, thicknesses, strict=True)]
        rough = layered_roughening(stack, frequency, conductor.roughness, temperature=temperature)
        smooth = complex(flat_surface(stack, frequency, temperature=temperature).impedance)
        return complex(rough.resistance * smooth.real, rough.reactance * smooth.imag) / smooth
    return complex(roughening(roughness_in_depths(conductor, frequency), model).factor)


def roughness_in_depths(conductor: Conductor, frequency: float) -> float:
    """Rq over the skin depth of the outermost metal."""
    outermost = (conductor.material, *conductor.coats)[-1]
    return conductor.roughness / outermost.skin_depth(frequency, conductor.temperature)


def region_skins(problem: Problem, frequency: float) -> list[list[float]]:
    """Skin depth of every metal of every conductor [m]; the even current of transposed strands has none."""
    return [
        [m.skin_depth(frequency, c.temperature) for m in c.metals]
        if c.strands is None
        else [_strand_skin(c, c.strands, frequency)]
        for c in problem.conductors
    ]


def _strand_skin(conductor: Conductor, strands: Strands, frequency: float) -> float:
    """Depth to which current crowds that may choose its strands."""
    if strands.lay != "straight" or frequency == 0:
        return math.inf
    found = _medium(conductor, strands, frequency)
    conductance = 1 / abs(found.impedance * conductor.part.area)
    return math.sqrt(1 / (math.pi * frequency * MU0 * abs(found.permeability) * conductance))


def any_magnetic(metals: Sequence[RegionMetal]) -> bool:
    """Whether permeability jumps anywhere: fields at corners are then singular, and orders slow."""
    return any(m.permeability != 1 or (m.strands is not None and abs(m.softness - 1) > NOTABLE) for m in metals)
