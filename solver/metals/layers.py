"""One-dimensional skin effect in layered metals: flat stacks; the marching that flat and round ones share.

Across a layer the field E along the current and the current I between the back and a place grow together:

    dE/dx = j w mu I,   dI/dx = sigma E      (flat: I per width, x from the back to the face)

so a layer takes (E, I) at its back to (E, I) at its face by a 2 x 2 matrix, exactly. E / I at the face is the surface
impedance. For one layer on a surface of impedance Z2 this is Z = e (Z2 + e tanh p t) / (e + Z2 tanh p t) with
p = (1+j)/depth and e = p/sigma (S. A. Schelkunoff, Bell Syst. Tech. J. 13, 532-579, 1934, from memory).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from crosscurrent.geometries.arrays import ComplexArray, FloatArray
from crosscurrent.geometries.errors import CrosscurrentError

from .depth import MU0
from .materials import Material


class LayerError(CrosscurrentError, ValueError):
    """A stack of layers or a frequency for which there is no surface impedance."""


@dataclass(frozen=True, eq=False)
class Layer:
    """A metal and its thickness [m]; infinite for a half space. An array gives one stack for each of its entries."""

    material: Material
    thickness: float | FloatArray = math.inf


@dataclass(frozen=True, eq=False)
class Surface:
    """What a layered conductor does, seen from its face; every array has the shape of frequency and thicknesses.

    Attributes
    ----------
    frequency : float array
        [Hz]
    impedance : complex array
        Of a flat stack [ohm] per square, of a round one its internal impedance [ohm/m].
    current_shares : tuple of complex arrays
        Of the whole current, for each layer, inside first; they add up to one.
    loss_shares : tuple of float arrays
        Of the whole loss, for each layer, inside first; they add up to one.
    """

    frequency: FloatArray
    impedance: ComplexArray
    current_shares: tuple[ComplexArray, ...]
    loss_shares: tuple[FloatArray, ...]

    @property
    def resistance(self) -> FloatArray:
        """Sheet resistance [ohm] per square, or resistance of a round conductor [ohm/m]."""
        return self.impedance.real

    @property
    def inductance(self) -> FloatArray:
        """Internal inductance [H] per square, or of a round conductor [H/m]."""
        return np.asarray(self.impedance.imag / (2 * math.pi * self.frequency))


@dataclass(frozen=True, eq=False)
class Step:
    """From the back of a layer to its face: (E, I) -> exp(growth) (ee E + ei I, ie E + ii I)."""

    growth: FloatArray
    ee: ComplexArray
    ei: ComplexArray
    ie: ComplexArray
    ii: ComplexArray


def flat_surface(layers: Sequence[Layer], frequency: float | FloatArray, *, temperature: float = 20.0) -> Surface:
    """A flat stack of layers with the field on one side.

    Parameters
    ----------
    layers : sequence of Layer
        Inside first, the last one faces the field. The first may be infinite, a half space; if it is finite, nothing
        lies behind it.
    frequency : float or float array
        [Hz], above zero.
    temperature : float
        Of all layers [degC].

    Returns
    -------
    Surface
        Impedance per square. Valid where the stack is much wider than thick and its face flat over several depths.

    Raises
    ------
    LayerError
        No layers, a layer other than the first that is infinite, a thickness below zero, a frequency not above zero.

    Examples
    --------
    10 um of silver on brass at 13.56 MHz:

    >>> from crosscurrent.solver.metals.materials import material
    >>> bare = flat_surface([Layer(material("brass"))], 13.56e6)
    >>> plated = flat_surface([Layer(material("brass")), Layer(material("silver"), 10e-6)], 13.56e6)
    >>> round(float(plated.resistance / bare.resistance), 3)
    0.639
    """
    _check(layers, frequency)
    hertz = np.asarray(frequency, dtype=float)
    first = layers[0]
    back: tuple[ComplexArray, ComplexArray] | None = None
    if np.isinf(first.thickness).all():
        p, sigma = propagation(first.material, hertz, temperature)
        back, layers = (p / sigma, np.ones_like(p)), layers[1:]
    return march(hertz, [_flat_step(layer, hertz, temperature) for layer in layers], back)


def propagation(metal: Material, frequency: FloatArray, temperature: float) -> tuple[ComplexArray, float]:
    """(1+j)/depth [1/m] and the conductivity [S/m] of a metal at frequencies [Hz] and a temperature [degC]."""
    sigma = metal.conductivity_at(temperature)
    return np.asarray((1 + 1j) * np.sqrt(math.pi * frequency * MU0 * metal.permeability * sigma)), sigma


def march(frequency: FloatArray, steps: Sequence[Step], core: tuple[ComplexArray, ComplexArray] | None) -> Surface:
    """Go through layers from the back to the face.

    Parameters
    ----------
    frequency : float array
        [Hz]
    steps : sequence of Step
    core : (E, I) or None
        At the face of a half space or a solid rod behind the steps, which counts as the first layer; None if the
        back of the first step is free.
    """
    field = [np.asarray(1 + 0j), *([core[0]] if core else [])]
    current = [np.asarray(0j), *([core[1]] if core else [])]
    growth = [np.asarray(0.0)] * len(field)
    for step in steps:
        field.append(np.asarray(step.ee * field[-1] + step.ei * current[-1]))
        current.append(np.asarray(step.ie * field[-2] + step.ii * current[-1]))
        growth.append(growth[-1] + step.growth)
    rising = [np.exp(g - growth[-1]) for g in growth]  # 1 at the face, 0 where the field has died out
    whole = (field[-1] * current[-1].conj()).real
    flow = [(e * i.conj()).real * r**2 / whole for e, i, r in zip(field, current, rising, strict=True)]
    within = [i * r / current[-1] for i, r in zip(current, rising, strict=True)]
    hertz, impedance = np.broadcast_arrays(frequency, field[-1] / current[-1])
    shares = range(len(steps) + (core is not None))
    return Surface(
        hertz, impedance, tuple(np.asarray(within[k + 1] - within[k]) for k in shares),
        tuple(np.asarray(flow[k + 1] - flow[k]) for k in shares),
    )  # fmt: skip


def _flat_step(layer: Layer, frequency: FloatArray, temperature: float) -> Step:
    p, sigma = propagation(layer.material, frequency, temperature)
    through = p * layer.thickness
    turn = 0.5 * np.exp(1j * through.imag)
    cosh = turn * (1 + np.exp(-2 * through))  # both times exp(-Re), so that a thick layer does not overflow
    sinh = -turn * np.expm1(-2 * through)
    return Step(through.real, cosh, sinh * p / sigma, sinh * sigma / p, cosh)


def _check(layers: Sequence[Layer], frequency: float | FloatArray) -> None:
    if not layers:
        raise LayerError("a layered surface: expected at least one layer, found none; give the base metal first")
    for number, layer in enumerate(layers, 1):
        if np.any(np.less(layer.thickness, 0)) or np.any(np.isnan(layer.thickness)):
            found = np.min(layer.thickness)
            raise LayerError(f"layer {number}: expected a thickness of 0 m or more, found {found:g} m; correct it")
        infinite = np.isinf(layer.thickness)
        if infinite.any() and not (number == 1 and infinite.all()):
            raise LayerError(f"layer {number}: only the first layer may be infinite; give its thickness in metres")
    check_frequency(frequency)


def check_frequency(frequency: float | FloatArray) -> None:
    """Refuse direct current, which has no skin depth.

    Raises
    ------
    LayerError
        A frequency [Hz] that is not above zero, or infinite.
    """
    if not np.all(np.greater(frequency, 0)) or np.any(np.isinf(frequency)):
        raise LayerError(
            f"a layered surface: expected frequencies above 0 Hz, found {np.min(frequency):g} Hz; for direct current "
            "join the layers in parallel"
        )
