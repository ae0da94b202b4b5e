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


def of_hybrid(hybrid: ComplexArray) -> ComplexArray:
    """Scattering parameters of hybrid parameters, V1 = h11 I1 + h12 V2 and I2 = h21 I1 + h22 V2.

    With a = (v + i) / 2 and b = (v - i) / 2 of normalised voltages and currents put in.

    Parameters
    ----------
    hybrid : (n, 2, 2) complex
        Normalised: h11 over the reference impedance, h22 times it.

    Examples
    --------
    >>> of_hybrid(np.array([[[2, 1], [-1, 0]]], dtype=complex)).real.tolist()  # 100 ohm in series at 50 ohm
    [[[0.5, 0.5], [0.5, 0.5]]]
    """
    (h11, h12), (h21, h22) = hybrid.transpose(1, 2, 0)
    across = h12 * h21
    whole = (1 + h11) * (1 + h22) - across
    found = [[(h11 - 1) * (h22 + 1) - across, 2 * h12], [-2 * h21, (1 + h11) * (1 - h22) + across]]
    return np.asarray((np.array(found) / whole).transpose(2, 0, 1))


def of_inverse_hybrid(inverse: ComplexArray) -> ComplexArray:
    """Scattering parameters of I1 = g11 V1 + g12 I2 and V2 = g21 V1 + g22 I2: hybrid ones from the other port.

    Parameters
    ----------
    inverse : (n, 2, 2) complex
        Normalised: g11 times the reference impedance, g22 over it.
    """
    return of_hybrid(inverse[:, ::-1, ::-1])[:, ::-1, ::-1]
