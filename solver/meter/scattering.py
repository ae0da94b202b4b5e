"""Impedance of a part from the scattering parameters that a network analyser measures at it.

Source of the three: D. M. Pozar, "Microwave Engineering", 4th ed. (Wiley 2012), table 4.1 (ABCD parameters of a series
impedance and a shunt admittance) and table 4.2 (their conversion to S parameters), from memory.
"""

from __future__ import annotations

import numpy as np

from crosscurrent.geometries.arrays import ComplexArray

Connection = ("one-port", "series-through", "shunt-through")


def one_port(reflection: ComplexArray, reference: ComplexArray) -> ComplexArray:
    """Z = z0 (1 + S11) / (1 - S11), between the port and ground.

    Parameters
    ----------
    reflection : (n,) complex
        S11.
    reference : (n,) complex
        z0 [ohm], real.

    Examples
    --------
    >>> one_port(np.array([0j]), np.array([50 + 0j])).tolist()
    [(50+0j)]
    """
    return np.asarray(reference * (1 + reflection) / (1 - reflection))


def series_through(transmission: ComplexArray, reference: ComplexArray) -> ComplexArray:
    """Z = 2 z0 (1 - S21) / S21, in series between both ports.

    Good from some ohms upward: where S21 is near 1 its own error is as large as what it misses to 1.

    Examples
    --------
    >>> series_through(np.array([0.5 + 0j]), np.array([50 + 0j])).tolist()
    [(100+0j)]
    """
    return np.asarray(2 * reference * (1 - transmission) / transmission)


def shunt_through(transmission: ComplexArray, reference: ComplexArray) -> ComplexArray:
    """Z = z0 / 2 S21 / (1 - S21), from the line between both ports to ground: for milliohms.

    Examples
    --------
    >>> shunt_through(np.array([0.5 + 0j]), np.array([50 + 0j])).tolist()
    [(25+0j)]
    """
    return np.asarray(0.5 * reference * transmission / (1 - transmission))
