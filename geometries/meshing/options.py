"""How fine a mesh is to be: a handful of ratios, each to a length of the section or a skin depth."""

from __future__ import annotations

import math
from dataclasses import dataclass


@dataclass(frozen=True)
class MeshOptions:
    """Ratios that shape a mesh; the defaults give about 1e-5 on resistance with fourth order elements.

    Parameters
    ----------
    first : float
        Thickness of the first layer under a surface, in skin depths.
    growth : float
        Ratio of one layer's thickness to that of the layer above it.
    reach : float
        Depth of the stack of layers, in skin depths; below it the metal counts as field-free.
    corner : float
        Element length along a surface at a sharp corner that points outwards, in skin depths.
    reentrant : float
        The same at a corner that points inwards; infinite where the metal is no better a path for the flux than the
        air: beside it the field of a thin skin falls as r^(pi / a - 1), a < pi the angle of the air.
    slope : float
        Growth of element length with the distance from a corner or arc [-].
    arc : float
        Largest angle one element may follow an arc [rad].
    margin : float
        Radius of the outer circle over that of the smallest circle around the section.
    truncation : int
        Elements round the truncation boundary, the outer circle; an axial section has its right half with half as many.
    axial_margin : float
        What `margin` is in an axial section, whose exterior field falls off more slowly.
    """

    first: float = 0.9
    growth: float = 1.5
    reach: float = 9.5
    corner: float = 0.8
    reentrant: float = 0.8
    slope: float = 0.6
    arc: float = math.pi / 6
    margin: float = 1.15
    truncation: int = 32
    axial_margin: float = 1.3

    def finer(self, level: int) -> MeshOptions:
        """The options `level` steps finer: every size divided by 1.5, layers reaching deeper.

        Examples
        --------
        >>> round(MeshOptions().finer(1).first, 12)
        0.6
        """
        if level == 0:
            return self
        k = 1.5**level
        return MeshOptions(
            first=self.first / k,
            growth=1 + (self.growth - 1) / k**0.7,
            reach=self.reach + 3.0 * level,
            corner=self.corner / k,
            reentrant=self.reentrant / k,
            slope=self.slope / k**0.7,
            arc=self.arc / k,
            margin=self.margin,
            truncation=math.ceil(self.truncation * k**0.7),
            axial_margin=self.axial_margin,
        )
