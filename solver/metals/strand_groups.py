"""Groups of strands that keep their place within the group: the band between perfect transposition and lay."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from crosscurrent.geometries.arrays import FloatArray

from .depth import skin_depth
from .round_bundle import largest_group
from .strands import Strands, media

EVEN = 5  # so many groups round a middle lie alike, and share evenly however they are laid


@dataclass(frozen=True)
class GroupSkin:
    """The group of strands of a bundle that shows most of a skin of its own.

    Attributes
    ----------
    levels : tuple of int
        What it is made of, the outermost first: (84,) are 84 strands bunched, (7, 12) seven groups of 12 laid together.
    largest : int
        That it should have at most.
    added : float
        Resistance of the whole bundle that is added if no strand changes its distance from the group's middle [ohm/m].
    up_to : float
        Frequency to which so many may be twisted together [Hz].
    """

    levels: tuple[int, ...]
    largest: int
    added: float
    up_to: float

    @property
    def size(self) -> int:
        """Strands in it."""
        return math.prod(self.levels)

    @property
    def too_large(self) -> bool:
        """Whether the published rule is broken."""
        return self.size > self.largest


def group_skin(strands: Strands, area: float, conductivity: float, frequency: float) -> GroupSkin | None:
    """`group_skins` at one frequency [Hz].

    Examples
    --------
    Five groups of 91 strands whose radius is a fifth of a skin depth: up to a fifth more.

    >>> depth = skin_depth(85e3, 58e6)
    >>> bundle = Strands(455, 0.4 * depth, levels=(5, 91))
    >>> found = group_skin(bundle, bundle.copper / 0.5, 58e6, 85e3)
    >>> found.size, found.largest, round(found.added / bundle.resistance(58e6), 2)
    (91, 25, 0.21)
    """
    return group_skins(strands, area, conductivity, np.array([frequency]))[0]


def group_skins(strands: Strands, area: float, conductivity: float, frequency: FloatArray) -> list[GroupSkin | None]:
    """What the strands of a group that are twisted together, not transposed, add to the resistance.

    Groups of up to five lie alike round their middle. A larger one is bunched: in the worst case every strand keeps its
    distance from the middle, and current crowds to the outer rings.

    Parameters
    ----------
    strands : Strands
    area : float
        Of the outline [m2].
    conductivity : float
        [S/m]
    frequency : (m,) float
        [Hz]

    Returns
    -------
    list of GroupSkin or None
        At every frequency, of the group that adds most there; None without one larger than five, at 0 Hz, or for
        strands laid straight.

    Notes
    -----
    A round group alone: the field of all else averages out along its twist. Both limits are those of rings
    (`strand_rings`); the rule for the size is 4 depth^2 / diameter^2 (C. R. Sullivan and R. Y. Zhang, APEC 2014, from
    memory).
    """
    found: list[GroupSkin | None] = [None] * len(frequency)
    turning = np.flatnonzero(frequency)
    if not len(turning) or strands.lay != "transposed":
        return found
    levels = strands.levels or (strands.count,)
    space = strands.space or area / strands.count
    share = min(1.0, strands.count * space / area) ** (1 / max(len(levels) - 1, 1))
    most = [largest_group(strands.diameter, skin_depth(f, conductivity)) for f in frequency[turning].tolist()]
    for k, members in enumerate(levels):
        size = math.prod(levels[k:])
        if members <= EVEN:
            continue
        group = replace(strands, count=size, levels=levels[k:], space=space)
        within = size * space / share ** (len(levels) - 1 - k)
        added = _added(group, within, conductivity, frequency[turning]) * size / strands.count
        up_to = 4 * (skin_depth(1.0, conductivity) / strands.diameter) ** 2 / size  # depths squared fall as 1 / f
        for at, largest, more in zip(turning.tolist(), most, added.tolist(), strict=True):
            before = found[at]
            if before is None or more > before.added:
                found[at] = GroupSkin(levels[k:], largest, more, up_to)
    return found


def _added(group: Strands, area: float, conductivity: float, frequency: FloatArray) -> FloatArray:
    """By one group whose members keep to their rings [ohm/m]."""
    rings = media(group, area, conductivity, frequency).outermost
    return np.asarray((rings.impedance(even=False)[0] - rings.impedance(even=True)[0]).real)
