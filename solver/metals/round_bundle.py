"""A round bundle of fine strands alone: its resistance by hand, beside one round wire."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from crosscurrent.geometries.arrays import FloatArray

from .depth import MU0
from .layers import Layer
from .materials import Material
from .one_strand import strained
from .round_layers import round_surface
from .strand_edge import placed_edge
from .strand_layout import cell_area
from .strand_packing import places_in_circle, radius
from .strands import Strands, media


@dataclass(frozen=True)
class RoundBundle:
    """Strands that fill a circle, each with the same current (transposed).

    Parameters
    ----------
    strands : Strands
        `gathered` counts the edge that the places of their lattice make; else they fill the circle evenly.
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

        R = Re(Z) + w mu0 mu'' / (8 pi): that of the strands, and the loss that the field of all others causes in them,
        the medium of permeability mu' - j mu'' filling the circle.

        Notes
        -----
        Both terms follow from `media` (Perrins, McKenzie, McPhedran 1979 for the medium). Valid for metal that is
        not magnetic, perfectly transposed, alone. Spread evenly, against hexagons of 7 to 397 strands resolved one by
        one within 0.5 % up to 0.8 skin depths of strand radius, 1.1 % up to 1.3; a square of 7 x 7 lies 1.6 % lower;
        gathered, 0.2 % up to 2. The circle is there that of the area of all cells: with the circle around the hexagon,
        which it does not fill, the result is up to 15 % low. A construction of groups whose own skin shows has more.

        Examples
        --------
        37 strands of 0.071 mm, 0.084 mm apart, at 500 kHz:

        >>> from crosscurrent.solver.metals.materials import MATERIALS
        >>> bundle = RoundBundle(Strands(37, 0.071e-3), 0.071e-3 * math.sqrt(37 / 0.6479))
        >>> round(float(bundle.resistance(MATERIALS["copper"], np.array(5e5), 20.0)), 4)
        0.1249
        """
        hertz = np.asarray(frequency, dtype=float)
        area, sigma = math.pi / 4 * self.diameter**2, metal.conductivity_at(temperature)
        found = media(self.strands, area, sigma, hertz.ravel())
        around = hertz.ravel() * MU0 / 4 * found.permeability.imag
        return np.asarray((found.impedance.real - around).reshape(hertz.shape))


@dataclass(frozen=True)
class PlacedBundle(RoundBundle):
    """Few strands at the places that a case solves for them in (`places_in_circle`).

    Parameters
    ----------
    insulated : float
        Diameter of a strand over its insulation [m].
    """

    insulated: float

    def resistance(self, metal: Material, frequency: FloatArray, temperature: float) -> FloatArray:
        """Resistance [ohm/m] over frequencies [Hz] of any shape.

        Notes
        -----
        As that of a circle; the strands answer the field of all others at their places with dipoles (`placed_edge`).
        Their longer way counts in their conductivity along the run, as in a case. Against multipoles of all
        strands, 2 to 37, loose and tight, within 0.02 % up to 0.8 skin depths of strand radius, 0.4 % up to 1.4,
        1.2 % up to 1.9.

        Examples
        --------
        >>> from crosscurrent.solver.metals.materials import MATERIALS
        >>> three = PlacedBundle(Strands(3, 0.4e-3), 0.943e-3, 0.4395e-3)
        >>> round(float(three.resistance(MATERIALS["copper"], np.array(85e3), 20.0)), 4)
        0.0503
        """
        hertz, count, strand = np.asarray(frequency, dtype=float), self.strands.count, self.strands.diameter
        places, _ = places_in_circle(count, "any", self.diameter / self.insulated)
        area = count * cell_area((self.diameter - self.insulated) / (2 * radius(places)), "hexagonal")
        sigma, alike = metal.conductivity_at(temperature) / self.strands.take_up, replace(self.strands, take_up=1.0)
        found, answers = media(alike, area, sigma, hertz.ravel()), strained(strand, sigma, hertz.ravel())
        flux = placed_edge(places).flux(alike.copper / area, found.permeability, answers)
        turning = 2j * math.pi * hertz.ravel() * MU0
        return np.asarray((found.inward / count + turning * flux).real.reshape(hertz.shape))


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
