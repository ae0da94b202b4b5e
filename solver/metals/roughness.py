"""What a rough surface costs: published multipliers on the resistance of a smooth one.

Three models, each in the ratio of the roughness Rq (rms height) to the skin depth:

- "hammerstad-jensen": 1 + (2/pi) atan(1.4 ratio^2), a fit to grooves that levels off at 2
  (E. Hammerstad, O. Jensen, IEEE MTT-S Digest 1980, 407-409, from memory);
- "groiss": 1 + exp(-(1 / (2 ratio))^1.6), a fit to computed profiles that levels off at 2
  (S. Groiss et al., IEEE Trans. Magnetics 32, 1509-1512, 1996, from memory);
- "gradient": the metal thins out towards its surface, sigma(x) = sigma Phi(x / Rq) with the Gaussian distribution Phi
  and the depth x below the mean plane; the field in it is found here by solving the one-dimensional problem
  (G. Gold, K. Helmreich, IEEE Trans. MTT 65, 3720-3732, 2017, doi 10.1109/TMTT.2017.2695192). It does not level off.

The models differ by 10 to 50 % where the ratio is near 0.5 to 1: their spread is the band of the answer.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Literal

import numpy as np

from crosscurrent.geometries.arrays import ComplexArray, FloatArray
from crosscurrent.geometries.errors import CrosscurrentError

from .layers import Layer, flat_surface, propagation

Model = Literal["gradient", "hammerstad-jensen", "groiss"]
MODELS: tuple[Model, ...] = ("gradient", "hammerstad-jensen", "groiss")

LARGEST = 1e3  # Rq / depth for which the table is made
REACH = 8.0  # distances from the mean plane, in Rq, beyond which there is only air or only solid metal
STEPS = 800  # across both; relative error of R below 2e-8 up to LARGEST
SMOOTH = 1 + 1j  # surface impedance of a smooth thick wall times sigma depth
SMALLEST, SPACING = 1e-3, 0.05  # of the table, in Rq / depth and in its logarithm


class RoughnessError(CrosscurrentError, ValueError):
    """A roughness that no model covers."""


@dataclass(frozen=True, eq=False)
class Roughening:
    """Multipliers on the resistance and on the internal reactance (or inductance) of the smooth surface.

    The reactance counts from the mean plane of the rough surface, so that the outline keeps the metal's area. Where
    Rq is above about 0.7 depths most current flows outside that plane and the multiplier falls below zero; as a shift
    of the surface this is always less than 5 Rq. The two fits speak of the loss alone: their reactance is 1.
    """

    resistance: FloatArray
    reactance: FloatArray

    @property
    def factor(self) -> ComplexArray:
        """For the complex surface impedance of a smooth wall many depths thick."""
        return np.asarray((self.resistance + 1j * self.reactance) / SMOOTH)


def roughening(ratio: float | FloatArray, model: Model = "gradient") -> Roughening:
    """Multipliers for a wall many depths thick of one metal.

    Parameters
    ----------
    ratio : float or float array
        Rq over skin depth, 0 to 1000; the depth counts the permeability.
    model : "gradient", "hammerstad-jensen" or "groiss"

    Returns
    -------
    Roughening
        From a table for the gradient model, with an error below 1e-6: cheap for thousands of ratios.

    Raises
    ------
    RoughnessError
        A ratio below 0 or above 1000.

    Examples
    --------
    Rq 3.2 um on copper at 8 MHz, where the depth is 23.4 um:

    >>> round(float(roughening(3.2 / 23.37).resistance), 3)
    1.034
    """
    r = np.asarray(ratio, dtype=float)
    if not np.all((r >= 0) & (r <= LARGEST)):
        found = r[~((r >= 0) & (r <= LARGEST))].flat[0]
        raise RoughnessError(
            f"roughness over skin depth: expected 0 to {LARGEST:g}, found {found:g}; check the unit of the roughness"
        )
    if model == "gradient":
        change = r**2 * _table()(np.log(np.maximum(r, SMALLEST)))
        return Roughening(1 + change.real, 1 + change.imag)
    if model == "hammerstad-jensen":
        return Roughening(1 + 2 / math.pi * np.arctan(1.4 * r**2), np.ones_like(r))
    with np.errstate(divide="ignore"):
        return Roughening(1 + np.exp(-((2 * r) ** -1.6)), np.ones_like(r))


def spread(ratio: float | FloatArray) -> tuple[FloatArray, FloatArray]:
    """Lowest and highest resistance multiplier of the three models.

    Parameters
    ----------
    ratio : float or float array
        Rq over skin depth, 0 to 1000.

    Examples
    --------
    >>> low, high = spread(0.5)
    >>> round(float(low), 3), round(float(high), 3)
    (1.214, 1.368)
    """
    found = [roughening(ratio, model).resistance for model in MODELS]
    return np.minimum.reduce(found), np.maximum.reduce(found)


def layered_roughening(
    layers: Sequence[Layer], frequency: float | FloatArray, roughness: float, *, temperature: float = 20.0
) -> Roughening:
    """Multipliers for a flat stack whose outermost layer is rough: the gradient model over the layers below it.

    Parameters
    ----------
    layers : sequence of Layer
        Inside first, as for `flat_surface`; thicknesses reach to the mean plane of the surface.
    frequency : float or float array
        [Hz], above zero.
    roughness : float
        Rq [m]. The layers below are taken as flat: valid where Rq is well below the thickness of the outermost.
    temperature : float
        [degC]

    Raises
    ------
    RoughnessError
        Rq below 0 or above 1000 depths.

    Examples
    --------
    Gold over nickel: most of the loss is in the nickel below, so that polishing the gold gains little.

    >>> from crosscurrent.solver.metals.materials import material
    >>> stack = [Layer(material("copper")), Layer(material("nickel"), 2e-6), Layer(material("gold"), 1e-6)]
    >>> round(float(layered_roughening(stack, 1e9, 0.3e-6).resistance), 3)
    1.005
    """
    hertz = np.asarray(frequency, dtype=float)
    smooth = flat_surface(layers, hertz, temperature=temperature).impedance
    if roughness == 0:
        return Roughening(np.ones(smooth.shape), np.ones(smooth.shape))
    metal, thickness = layers[-1].material, layers[-1].thickness
    p, sigma = propagation(metal, hertz, temperature)
    ratio = roughness * p.real
    if roughness < 0 or np.any(ratio > LARGEST):
        raise RoughnessError(
            f"roughness: expected 0 m to {LARGEST:g} skin depths, found {roughness:g} m; check its unit"
        )
    graded = np.minimum(thickness, REACH * roughness)
    # never nothing at all: a free back has no finite impedance
    solid = Layer(metal, np.maximum(np.subtract(thickness, graded), 1e-9 * roughness))
    below = flat_surface([*layers[:-1], solid], hertz, temperature=temperature).impedance
    unit = p.real / sigma
    rough = unit * _through_roughness(ratio, below / unit, graded / roughness)
    return Roughening(np.asarray(rough.real / smooth.real), np.asarray(rough.imag / smooth.imag))


def _through_roughness(ratio: FloatArray, below: ComplexArray | complex, start: float | FloatArray) -> ComplexArray:
    """Surface impedance times sigma depth at the mean plane, from that at `start` times Rq below it.

    With s the distance inward from the mean plane in Rq: dE/ds = -2j ratio I, dI/ds = -ratio Phi(s) E. Each step out
    is the exponential of the fourth-order Magnus expansion (W. Magnus, Commun. Pure Appl. Math. 7, 649-673, 1954, from
    memory), which damps errors of the depth as the field does. The air in front is taken off again at the end.
    """
    from scipy.special import ndtr

    z: ComplexArray = np.asarray(below, dtype=complex)
    h = (np.asarray(start) + REACH) / STEPS
    a = 2j * ratio * h
    for k in range(STEPS):
        middle = start - (k + 0.5) * h
        inner, outer = (ratio * h * ndtr(middle + side * h / math.sqrt(12)) for side in (1, -1))
        b = (inner + outer) / 2
        twist = a * (inner - outer) / math.sqrt(48)
        w = np.sqrt(twist**2 + a * b)
        t = np.tanh(w) / np.where(w == 0, 1, w)
        t = np.where(w == 0, 1, t)
        z = ((1 + t * twist) * z + t * a) / (t * b * z + 1 - t * twist)
    return np.asarray(z - 2j * ratio * REACH)


@cache
def _table() -> Callable[[FloatArray], ComplexArray]:
    """(rough - smooth) / ratio^2 against the logarithm of the ratio: smooth all the way, constant at the small end."""
    from scipy.interpolate import CubicSpline

    places = np.arange(math.log(SMALLEST), math.log(LARGEST) + SPACING, SPACING)
    ratio = np.exp(places)
    change: ComplexArray = (_through_roughness(ratio, SMOOTH, REACH) - SMOOTH) / ratio**2
    spline: Callable[[FloatArray], ComplexArray] = CubicSpline(places, change)
    return spline
