"""Skin effect in coated round rods and tubes: the layered recursion with Bessel functions.

In a ring E = A I0(p r) + B K0(p r), and the current between the back and r is 2 pi r sigma / p (A I1(p r) - B K1(p r)).
The functions are scaled by their exponential growth, so that rods of 100,000 depths and rings of a thousandth of a
depth come out alike (S. A. Schelkunoff, Bell Syst. Tech. J. 13, 532-579, 1934, from memory).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import accumulate
from typing import Literal

import numpy as np

from crosscurrent.geometries.arrays import ComplexArray, FloatArray

from .layers import Layer, LayerError, Step, Surface, check_frequency, march, propagation


def round_surface(
    layers: Sequence[Layer],
    frequency: float | FloatArray,
    *,
    bore: float = 0.0,
    returns: Literal["outside", "inside"] = "outside",
    temperature: float = 20.0,
) -> Surface:
    """A round rod or tube of concentric layers, alone or in a coaxial line.

    Parameters
    ----------
    layers : sequence of Layer
        Inside first. The first thickness is the radius of a solid rod, or the wall of a tube.
    frequency : float or float array
        [Hz], above zero.
    bore : float
        Inner radius of a tube [m]; 0 for a solid rod.
    returns : "outside" or "inside"
        Where the current comes back: around the conductor, or through the bore.
    temperature : float
        Of all layers [degC].

    Returns
    -------
    Surface
        Internal impedance [ohm/m]: resistance, and the inductance of the field inside the metal. Valid for radii from
        a thousandth of a depth to 100,000 depths.

    Raises
    ------
    LayerError
        No layers, a thickness not above zero or infinite, a frequency not above zero, a return inside a solid rod.

    Examples
    --------
    10 um of silver on a brass rod of 5 mm at 1 MHz:

    >>> from crosscurrent.solver.metals.materials import material
    >>> rod = [Layer(material("brass"), 2.5e-3), Layer(material("silver"), 10e-6)]
    >>> round(float(round_surface(rod, 1e6).resistance), 9)
    0.029420524
    """
    _check(layers, bore, returns)
    check_frequency(frequency)
    hertz = np.asarray(frequency, dtype=float)
    radii = list(accumulate((layer.thickness for layer in layers), initial=bore))
    core = None
    if bore == 0:
        core = _solid(layers[0], hertz, temperature)
        layers, radii = layers[1:], radii[1:]
    rings = list(zip(layers, radii, radii[1:], strict=False))
    if returns == "outside":
        return march(hertz, [_ring(layer, a, b, hertz, temperature) for layer, a, b in rings], core)
    found = march(hertz, [_ring(layer, b, a, hertz, temperature) for layer, a, b in reversed(rings)], None)
    return Surface(found.frequency, found.impedance, found.current_shares[::-1], found.loss_shares[::-1])


def _solid(layer: Layer, frequency: FloatArray, temperature: float) -> tuple[ComplexArray, ComplexArray]:
    from scipy.special import ive

    p, sigma = propagation(layer.material, frequency, temperature)
    z = p * layer.thickness
    return np.asarray(ive(0, z)), np.asarray(2 * math.pi * layer.thickness * sigma / p * ive(1, z))


def _ring(
    layer: Layer, back: float | FloatArray, face: float | FloatArray, frequency: FloatArray, temperature: float
) -> Step:
    """Through a ring from the radius of its back to that of its face, which may be the smaller one."""
    from scipy.special import ive, kve

    p, sigma = propagation(layer.material, frequency, temperature)
    x, y = p * back, p * face
    # I and K without their exponentials; what is left of those is exp(+-through), known better than y - x
    i0x, i1x, i0y, i1y = (ive(n, z) * np.exp(-1j * z.imag) for z in (x, y) for n in (0, 1))
    k0x, k1x, k0y, k1y = (kve(n, z) for z in (x, y) for n in (0, 1))
    through = p * np.where(np.greater(face, back), layer.thickness, -np.asarray(layer.thickness))
    growth = np.abs(through.real)
    up, down = np.exp(through - growth), np.exp(-through - growth)
    ee = x * (k1x * i0y * up + i1x * k0y * down)
    eh = x * (k0x * i0y * up - i0x * k0y * down)
    he = x * (k1x * i1y * up - i1x * k1y * down)
    hh = x * (k0x * i1y * up + i0x * k1y * down)
    towards = np.where(np.greater(face, back), 1.0, -1.0)  # current counted from the back, whichever side that is
    into = 2 * math.pi * sigma / p * towards
    return Step(growth, ee, eh / (into * back), he * into * face, hh * face / back)


def _check(layers: Sequence[Layer], bore: float, returns: str) -> None:
    if not layers:
        raise LayerError("a round conductor: expected at least one layer, found none; give the base metal first")
    for number, layer in enumerate(layers, 1):
        if not np.all(np.greater(layer.thickness, 0)) or np.any(np.isinf(layer.thickness)):
            raise LayerError(
                f"layer {number} of a round conductor: expected a thickness above 0 m, found "
                f"{np.min(layer.thickness):g} m; leave the layer out or correct it"
            )
    if not 0 <= bore < math.inf:
        raise LayerError(f"a round conductor: expected a bore of 0 m or more, found {bore:g} m; correct it")
    if returns == "inside" and bore == 0:
        raise LayerError("a solid rod has no room for a return inside; give a bore or returns='outside'")
