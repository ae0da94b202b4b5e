"""Which strands, and how many: bundles of the strands of the trade beside one round wire."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property
from typing import Literal

import numpy as np

from crosscurrent.geometries.arrays import FloatArray

from .materials import Material
from .round_bundle import PlacedBundle, RoundBundle, largest_group, wire_resistance
from .strand_layout import RESOLVED
from .strands import Strands
from .wire_tables import enamelled_diameter, packing_factor, usual_take_up

Against = Literal["size", "copper"]
TRADE = (0.02e-3, 0.032e-3, 0.04e-3, 0.05e-3, 0.071e-3, 0.1e-3, 0.2e-3, 0.4e-3)  # strands often stocked [m]
FEWEST, MOST = 3, 100_000  # strands of a bundle
FLAT = 1.05  # within so much of the least resistance the thickest strand is the better buy
TOGETHER = 5  # groups of one stranding operation (Sullivan and Zhang 2014, from memory)
_POINTS = 200  # of a curve that is searched for crossings


@dataclass(frozen=True)
class StrandChoice:
    """A bundle at a frequency, and one round wire of the same diameter or of the same copper.

    Parameters
    ----------
    bundle : RoundBundle
    insulated : float
        Diameter of a strand with its enamel [m].
    metal : Material
    temperature : float
        [degC]
    frequency : float
        [Hz]
    """

    bundle: RoundBundle
    insulated: float
    metal: Material
    temperature: float
    frequency: float

    @property
    def count(self) -> int:
        """Of the strands."""
        return self.bundle.strands.count

    @property
    def strand(self) -> float:
        """Diameter of the bare strand [m]."""
        return self.bundle.strands.diameter

    @property
    def at_rest(self) -> float:
        """Resistance to direct current [ohm/m]."""
        return self.bundle.strands.resistance(self.metal.conductivity_at(self.temperature))

    @cached_property
    def resistance(self) -> float:
        """At its frequency [ohm/m]."""
        return float(self.over(np.array(self.frequency)))

    @cached_property
    def group(self) -> int:
        """How many strands may be bunched into one group; see `largest_group`."""
        return largest_group(self.strand, self.metal.skin_depth(self.frequency, self.temperature))

    def over(self, frequency: FloatArray) -> FloatArray:
        """Its resistance over frequencies [ohm/m]."""
        return self.bundle.resistance(self.metal, frequency, self.temperature)

    def wire(self, against: Against, frequency: FloatArray) -> FloatArray:
        """Resistance of one wire of the same diameter over the strands, or of the same copper [ohm/m]."""
        alike = self.bundle.diameter if against == "size" else math.sqrt(4 / math.pi * self.bundle.bare)
        return wire_resistance(alike, self.metal, frequency, self.temperature)

    @cached_property
    def frequencies(self) -> FloatArray:
        """From where a wire of its size has a skin to where its strands have."""
        constant = self.metal.skin_depth(1.0, self.temperature)
        low, high = (0.5 * constant / (self.bundle.diameter / 2)) ** 2, (2.5 * constant / (self.strand / 2)) ** 2
        return np.geomspace(min(low, high / 100), high, _POINTS)

    def wins(self, against: Against) -> tuple[float, float] | None:
        """Between which frequencies it has less resistance than the wire [Hz]; None where it never has."""
        level = np.log(self.over(self.frequencies) / self.wire(against, self.frequencies))
        below = np.nonzero(level < 0)[0]
        if not len(below):
            return None
        return tuple(self._crossing(level, k) for k in (below[0] - 1, below[-1]))  # type: ignore[return-value]

    def _crossing(self, level: FloatArray, k: int) -> float:
        """Where a curve passes through zero between a frequency and the next."""
        if not 0 <= k < len(level) - 1:
            return float(self.frequencies[0 if k < 0 else -1])
        share = level[k] / (level[k] - level[k + 1])
        return float(self.frequencies[k] * (self.frequencies[k + 1] / self.frequencies[k]) ** share)

    def best(self, against: Against) -> tuple[float, float]:
        """How many times the resistance of the bundle the wire has at most, and at which frequency [Hz]."""
        gain = self.wire(against, self.frequencies) / self.over(self.frequencies)
        k = int(gain.argmax())
        return float(gain[k]), float(self.frequencies[k])


def choices(
    strands: tuple[float, ...],
    metal: Material,
    temperature: float,
    frequency: float,
    *,
    outer: float | None = None,
    copper: float | None = None,
) -> tuple[StrandChoice, ...]:
    """A bundle of each strand that fills a diameter, or that has so much copper; those of too few strands left out.

    Parameters
    ----------
    strands : tuple of float
        Diameters of bare strands [m]; their enamel is grade 1.
    outer : float, optional
        Diameter over the strands [m].
    copper : float, optional
        Area of all strands together [m2]; one of both.

    Raises
    ------
    WireError
        A strand that the table of enamel does not have.

    Examples
    --------
    >>> from crosscurrent.solver.metals.materials import MATERIALS
    >>> found, = choices((1e-4,), MATERIALS["copper"], 20.0, 85e3, outer=3e-3)
    >>> found.count, found.group
    (434, 20)
    """
    found = []
    for diameter in strands:
        insulated = enamelled_diameter(diameter, "grade 1")
        if outer is not None:
            count = _that_fit(outer, insulated)
        else:
            assert copper is not None
            count = round(copper / (math.pi / 4 * diameter**2))
        if FEWEST <= count <= MOST:
            over = packing_factor(count) * math.sqrt(count) * insulated
            group = largest_group(diameter, metal.skin_depth(frequency, temperature))
            lengthened = Strands(count, diameter, take_up=usual_take_up(operations(count, group)), gathered=True)
            few = count <= RESOLVED
            bundle = PlacedBundle(lengthened, over, insulated) if few else RoundBundle(lengthened, over)
            found.append(StrandChoice(bundle, insulated, metal, temperature, frequency))
    return tuple(found)


def operations(count: int, group: int) -> int:
    """How often strands are put together: bunched into groups, then five or fewer groups at a time.

    Examples
    --------
    >>> operations(20, 20), operations(420, 20)
    (1, 3)
    """
    return 1 if count <= group else 1 + math.ceil(math.log(count / group) / math.log(TOGETHER) - 1e-9)


def _that_fit(outer: float, insulated: float) -> int:
    count = min(int((outer / insulated) ** 2), MOST) + 1
    while count and packing_factor(count) * math.sqrt(count) * insulated > outer * (1 + 1e-9):
        count -= 1
    return count


def worth_buying(found: tuple[StrandChoice, ...]) -> StrandChoice:
    """The thickest strand within 5 % of the least resistance.

    Examples
    --------
    >>> from crosscurrent.solver.metals.materials import MATERIALS
    >>> copper = MATERIALS["copper"]
    >>> f"{worth_buying(choices(TRADE, copper, 20.0, 20e3, outer=5e-3)).strand * 1e3:g} mm"
    '0.2 mm'
    """
    least = min(choice.resistance for choice in found)
    return max((c for c in found if c.resistance <= FLAT * least), key=lambda c: c.strand)
