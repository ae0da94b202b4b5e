"""What leads and fixture add to a reading, taken off by a measurement with them open and one with them shorted.

Source: M. C. A. M. Koolen, J. A. M. Geelen, M. P. J. G. Versleijen, "An improved de-embedding technique for on-wafer
high-frequency characterization", Proc. IEEE Bipolar Circuits and Technology Meeting 1991, pp. 188-191 (from memory):
first the admittance that the open shows is taken off, then the impedance that is left of the short. Exact where the
stray admittance lies on the meter's side of the leads' impedance.
"""

from __future__ import annotations

import numpy as np

from crosscurrent.geometries.arrays import ComplexArray, FloatArray


def without_fixture(shown: ComplexArray, opened: ComplexArray | None, shorted: ComplexArray | None) -> ComplexArray:
    """Z = 1 / (Ym - Yo) - 1 / (Ys - Yo); with one of both alone what that tells.

    Parameters
    ----------
    shown, opened, shorted : (n,) complex
        [ohm]; with the part, with nothing, with a short in its place.

    Returns
    -------
    (n,) complex
        Of the part [ohm].

    Examples
    --------
    Leads of 0.1 ohm, nothing beside them:

    >>> without_fixture(np.array([0.15 + 0j]), None, np.array([0.1 + 0j])).round(12).tolist()
    [(0.05+0j)]
    """
    stray = 0.0 if opened is None else 1 / opened
    part = 1 / (1 / shown - stray)
    return np.asarray(part if shorted is None else part - 1 / (1 / shorted - stray))


def at_frequencies(frequencies: FloatArray, known: FloatArray, values: ComplexArray, *, opened: bool) -> ComplexArray:
    """A measurement of the fixture at other frequencies within its band.

    Between its own frequencies the short is taken as a resistance and inductance, the open as a conductance and
    capacitance, each straight over the logarithm of frequency.

    Parameters
    ----------
    frequencies : (n,) float
        [Hz], within those of the measurement.
    known : (k,) float
        Of the measurement [Hz], rising.
    values : (k,) complex
        [ohm]
    opened : bool

    Examples
    --------
    >>> short = np.array([1 + 1j, 1 + 4j])
    >>> at_frequencies(np.array([2.0]), np.array([1.0, 4.0]), short, opened=False).round(9).tolist()
    [(1+2j)]
    """
    own = 1 / values if opened else values
    at, place = np.log(frequencies), np.log(known)
    real, steady = np.interp(at, place, own.real), np.interp(at, place, own.imag / known)
    found = real + 1j * frequencies * steady
    return np.asarray(1 / found if opened else found)
