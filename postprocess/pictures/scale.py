"""A colour scale chosen from the data: its end, and the power that gives the middle colour to the middle value."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from matplotlib.axes import Axes
from matplotlib.cm import ScalarMappable
from matplotlib.colorbar import Colorbar
from matplotlib.colors import Colormap, PowerNorm
from matplotlib.ticker import FuncFormatter

from crosscurrent.geometries.arrays import FloatArray

from .style import SMALL, plain

CLIPPED = 0.005  # share of the loss (or field energy) that may lie above the end of the scale
STEEPEST = 0.4  # smallest power


@dataclass(frozen=True)
class Scale:
    """Colours from 0 to `high`, value to the power `power`."""

    high: float
    power: float
    clipped: bool  # whether some values lie above `high`

    @classmethod
    def of(cls, values: FloatArray, areas: FloatArray) -> Scale:
        """For magnitudes that fill areas; the end is set by their squares, so that a sharp corner does not set it."""
        order = np.argsort(values)
        values, areas = values[order], areas[order]
        if not len(values) or values[-1] <= 0:
            return cls(1.0, 1.0, False)
        energy = np.cumsum(values**2 * areas)
        end = float(values[min(np.searchsorted(energy, (1 - CLIPPED) * energy[-1]), len(values) - 1)])
        high = _round_above(end)
        area = np.cumsum(areas)
        middle = float(values[np.searchsorted(area, 0.5 * area[-1])]) / high
        power = math.log(0.5) / math.log(middle) if 0 < middle < 1 else 1.0
        return cls(high, min(1.0, max(STEEPEST, power)), bool(values[-1] > high))

    def times(self, factor: float) -> Scale:
        """The same in a unit that many times smaller.

        Examples
        --------
        >>> Scale(0.0012, 0.5, False).times(1e6).high
        1200.0
        """
        return Scale(float(f"{self.high * factor:.6g}"), self.power, self.clipped)

    @property
    def norm(self) -> PowerNorm:
        """For matplotlib."""
        return PowerNorm(self.power, vmin=0, vmax=self.high, clip=True)

    @property
    def ticks(self) -> list[float]:
        """Round values far enough apart to be read."""
        chosen = [self.high]
        decade = 10.0 ** math.floor(math.log10(self.high))
        for value in (k * decade * 10.0**-n for n in range(8) for k in (5, 2, 1)):
            if value < self.high and self._place(chosen[-1]) - self._place(value) > 0.13 and self._place(value) > 0.1:
                chosen.append(value)
        return [0.0, *reversed(chosen)]

    def _place(self, value: float) -> float:
        return float((value / self.high) ** self.power)


def _round_above(value: float) -> float:
    decade = 10.0 ** math.floor(math.log10(value))
    return float(f"{next(k for k in (1, 1.2, 1.5, 2, 2.5, 3, 4, 5, 6, 8, 10) if k * decade >= value) * decade:.6g}")


def colour_bar(axes: Axes, scale: Scale, colours: Colormap, label: str) -> None:
    """Fill an axes with the scale, lying, label above."""
    bar = Colorbar(
        axes, ScalarMappable(scale.norm, colours), orientation="horizontal", ticks=scale.ticks,
        extend="max" if scale.clipped else "neither", extendfrac=0.03, format=FuncFormatter(lambda t, _: plain(t)),
    )  # fmt: skip
    bar.minorticks_off()
    bar.outline.set_linewidth(0.5)
    axes.set_title(label, fontsize=SMALL + 0.5, loc="left", pad=3)
