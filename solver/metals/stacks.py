"""A stack of wide metal strips: one-dimensional diffusion through all of them, however their currents go.

With the field h per width that the currents below leave between two strips, a strip of thickness t between h1 (below)
and h2 (above) has at its faces, with p = (1 + j) / depth and e = p / sigma,

    E(above) = e (h2 coth p t - h1 / sinh p t),   E(below) = e (h2 / sinh p t - h1 coth p t)

and its loss is that of P. L. Dowell, Proc. IEE 113, 1387-1394, 1966 (from memory).
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from crosscurrent.geometries.arrays import ComplexArray

from .depth import MU0
from .layers import Layer, LayerError, check_frequency, propagation


def stack_impedance(
    strips: Sequence[Layer], gaps: Sequence[float], width: float, frequency: float, temperatures: Sequence[float] = ()
) -> ComplexArray:
    """Impedance matrix of strips that lie on one another, exact without their edges.

    Parameters
    ----------
    strips : sequence of Layer
        From below to above; of finite thickness.
    gaps : sequence of float
        Between each and the next [m], one fewer.
    width : float
        Of all of them [m].
    frequency : float
        [Hz], above zero.
    temperatures : sequence of float
        Of the strips [degC]; 20 if left out.

    Returns
    -------
    (n, n) complex array
        [ohm/m] per metre of run, symmetric; it holds for currents that sum to zero, whose field stays in the stack.

    Raises
    ------
    LayerError
        Fewer than two strips, not one gap between each and the next, a frequency not above zero.

    Examples
    --------
    Go and return in thick plates: two sheets of 1 / (sigma depth):

    >>> from crosscurrent.solver.metals.materials import Material
    >>> plates = [Layer(Material("copper", 58e6), 0.01)] * 2
    >>> z = stack_impedance(plates, [0.001], 0.1, 100e3)
    >>> loop = z[0, 0] - z[0, 1] - z[1, 0] + z[1, 1]
    >>> round(float(loop.real) * 1e3, 4)  # [mohm/m]
    1.65
    """
    _check(strips, gaps)
    check_frequency(frequency)
    count = len(strips)
    # field per width below, between and above the strips, for a unit current in each of them in turn
    fields = (np.tril(np.ones((count + 1, count)), -1) - 0.5) / width
    level = np.asarray(np.zeros(count, dtype=complex))  # j w A at the face that comes next
    voltages = np.empty((count, count), dtype=complex)
    for k, strip in enumerate(strips):
        p, sigma = propagation(strip.material, np.asarray(frequency), temperatures[k] if temperatures else 20.0)
        through = np.exp(-p * strip.thickness)
        coth, csch = (1 + through**2) / (1 - through**2), 2 * through / (1 - through**2)
        below, above = fields[k], fields[k + 1]
        voltages[k] = level + p / sigma * (above * csch - below * coth)
        level = voltages[k] - p / sigma * (above * coth - below * csch)
        if k < count - 1:
            level = level - 2j * np.pi * frequency * MU0 * gaps[k] * above
    return np.asarray(voltages - 0.5 * level)


def _check(strips: Sequence[Layer], gaps: Sequence[float]) -> None:
    if len(strips) < 2 or len(gaps) != len(strips) - 1:
        raise LayerError(
            f"a stack: expected two strips or more and a gap between each and the next, found {len(strips)} strips and "
            f"{len(gaps)} gaps; correct it"
        )
