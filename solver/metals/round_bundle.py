"""A round bundle of fine strands alone: its resistance by hand, beside one round wire."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from crosscurrent.geometries.arrays import FloatArray

from .depth import MU0
from .layers import Layer
from .materials import Material
from .round_layers import round_surface
from .strands import Strands, strand_cell


@dataclass(frozen=True)
class RoundBundle:
    """Strands that fill a circle, each with the same current (transposed).

    Parameters
    ----------
    strands : Strands
    diameter : float
        Over the strands [m].
    """

    strands: Strands
    diameter: float

    @property
    def fill(self) -> float:
        """Metal across the run over the area of the circle."""
        return self.strands.copper / (math.pi / 4 * self.diameter**2)

    @property
    def bare(self) -> float:
        """Metal of the strands laid straight: what one wire of the same copper has [m2]."""
        return replace(self.strands, take_up=1.0).copper

    def resistance(self, metal: Material, frequency: FloatArray, temperature: float) -> FloatArray:
        """Resistance [ohm/m] over frequencies [Hz] of any shape.

        R = R_s / N Re(z I0 / 2 I1) + w mu0 mu'' (1 - 1/N) / (8 pi): the skin effect of a strand, and the loss that the
        field of all others causes in it, the medium of permeability mu' - j mu'' filling the circle.

        Notes
        -----
        Both terms follow from `strand_cell` (Perrins, McKenzie, McPhedran 1979 for the medium). Valid for metal that is
        not magnetic, perfectly transposed, alone. Against hexagons of 7 to 397 strands resolved one by one within
        0.5 % up to 0.8 skin depths of strand radius, 1.1 % up to 1.3; a square of 7 x 7 lies 1.6 % lower. The circle
        is there that of the area of all cells: with the circle around the hexagon, which it does not fill, the result
        is up to 15 % low. A construction of groups whose own skin shows has more.

        Examples
        --------
        37 strands of 0.071 mm, 0.084 mm apart, at 500 kHz:

        >>> from crosscurrent.solver.metals.materials import MATERIALS
        >>> bundle = RoundBundle(Strands(37, 0.071e-3), 0.071e-3 * math.sqrt(37 / 0.6479))
        >>> round(float(bundle.resistance(MATERIALS["copper"], np.array(5e5), 20.0)), 4)
        0.1249
        """
        hertz, sigma, n = np.asarray(frequency, dtype=float), metal.conductivity_at(temperature), self.strands.count
        found = []
        for f in hertz.ravel():
            cell = strand_cell(self.fill, self.strands.diameter, sigma, float(f), self.strands.layout)
            outer = -2 * math.pi * f * MU0 * cell.permeability.imag / (8 * math.pi)
            skin = self.strands.take_up * (cell.impedance.real + outer)
            found.append(skin / n + outer * (1 - 1 / n))
        return np.array(found).reshape(hertz.shape)


def wire_resistance(diameter: float, metal: Material, frequency: FloatArray, temperature: float) -> FloatArray:
    """Resistance of one round wire alone [ohm/m], exact; diameter [m], frequencies above zero [Hz].

    Examples
    --------
    >>> from crosscurrent.solver.metals.materials import MATERIALS
    >>> round(float(wire_resistance(1e-3, MATERIALS["copper"], np.array(1.0), 20.0)) * 1e3, 2)
    21.95
    """
    return np.asarray(round_surface([Layer(metal, diameter / 2)], frequency, temperature=temperature).resistance)


def largest_group(diameter: float, depth: float) -> int:
    """How many strands may be bunched into one group before the group as a whole shows a skin effect of its own.

    Parameters
    ----------
    diameter, depth : float
        Of a bare strand, and the skin depth [m].

    Notes
    -----
    4 depth^2 / diameter^2 (C. R. Sullivan and R. Y. Zhang, APEC 2014, from memory); at that size the group's own skin
    adds about 2 %. Groups are then stranded, five or fewer at a time.

    Examples
    --------
    At 85 kHz, where copper has a skin of 0.2267 mm:

    >>> [largest_group(d, 0.2267e-3) for d in (0.1e-3, 0.071e-3, 0.04e-3)]
    [20, 40, 128]
    """
    return max(1, int(4 * (depth / diameter) ** 2))
