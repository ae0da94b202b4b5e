"""What a plating does to the resistance of a surface: how much is enough, how much is best, and where it hurts."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import product

import numpy as np

from crosscurrent.geometries.arrays import FloatArray

from .layers import Layer, Surface, flat_surface
from .materials import Material
from .roughness import layered_roughening, spread

WORTH = 0.01  # a change of resistance that counts
DEEPEST = 8.0  # depths of the outer metal to look through
SERIES = (1.0, 2.0, 3.0, 5.0, 8.0)  # thicknesses of the table, times powers of ten [um]


@dataclass(frozen=True)
class PlatingFinish:
    """A flat base metal under layers, the last of them of a thickness to be chosen, at one frequency.

    Parameters
    ----------
    base : Material
        Taken as many of its depths thick, with the field on one side.
    under : tuple of Layer
        Layers between base and outer metal, inside first.
    outer : Material
        The metal of the last layer.
    frequency : float
        [Hz], above zero.
    temperature : float
        [degC]
    """

    base: Material
    under: tuple[Layer, ...]
    outer: Material
    frequency: float
    temperature: float = 20.0

    @property
    def depth(self) -> float:
        """Skin depth of the outer metal [m]."""
        return self.outer.skin_depth(self.frequency, self.temperature)

    @cached_property
    def bare(self) -> float:
        """Resistance per square of the base without any layer [ohm]."""
        return float(self._surface([Layer(self.base)]).resistance)

    @cached_property
    def solid(self) -> float:
        """Resistance per square of the outer metal alone, as good as the bulk [ohm]."""
        return float(self._surface([Layer(self.outer)]).resistance)

    def layers(self, thickness: float | FloatArray) -> list[Layer]:
        """The whole stack for thicknesses of the last layer [m]."""
        return [Layer(self.base), *self.under, Layer(self.outer, thickness)]

    def surface(self, thickness: float | FloatArray) -> Surface:
        """The plated surface for thicknesses of the last layer [m]; every metal as good as its bulk."""
        return self._surface(self.layers(thickness))

    def resistance(self, thickness: FloatArray) -> FloatArray:
        """Resistance per square [ohm] for thicknesses of the last layer [m]; every metal as good as its bulk."""
        return self.surface(thickness).resistance

    def band(self, thickness: FloatArray) -> tuple[FloatArray, FloatArray] | None:
        """Lowest and highest resistance per square over what a bath makes of the metals; None if not known."""
        if not self.is_uncertain:
            return None
        found = np.array([finish.resistance(thickness) for finish in self.variants()])
        return found.min(axis=0), found.max(axis=0)

    @property
    def is_uncertain(self) -> bool:
        """Whether the library knows bounds for the plated form of one of the metals."""
        return any(metal.as_plated for metal in self.metals)

    @property
    def metals(self) -> tuple[Material, ...]:
        """Of the layers, inside first."""
        return (*(layer.material for layer in self.under), self.outer)

    def variants(self) -> Iterator[PlatingFinish]:
        """The same finish with metals from the poorest to the best that a bath makes."""
        for metals in product(*(_as_plated(metal) for metal in self.metals)):
            under = tuple(replace(layer, material=m) for layer, m in zip(self.under, metals, strict=False))
            yield replace(self, under=under, outer=metals[-1])

    def _surface(self, layers: Sequence[Layer]) -> Surface:
        return flat_surface(layers, self.frequency, temperature=self.temperature)


@dataclass(frozen=True)
class PlatingAnswer:
    """What the curve of resistance against the thickness of the last layer says.

    Attributes
    ----------
    enough : float
        Thickness from which no thicker layer has 1 % less resistance [m]; 0 where no thickness buys as much.
    enough_within : (float, float)
        The same over what a bath makes of the metals [m].
    lowest, highest : (float, float) or None
        Thickness [m] and resistance per square [ohm] of the dip below, or the peak above, both ends of the curve.
    hurts : tuple of (float, float)
        Ranges of thickness [m] in which the resistance is more than 1 % above the bare base; may end at infinity.
    poorest : float
        Highest resistance per square [ohm] at any thickness over what a bath makes of the metals.
    """

    enough: float
    enough_within: tuple[float, float]
    lowest: tuple[float, float] | None
    highest: tuple[float, float] | None
    hurts: tuple[tuple[float, float], ...]
    poorest: float


def plating_answer(finish: PlatingFinish) -> PlatingAnswer:
    """How much of the last layer is enough, best, and too much.

    Examples
    --------
    Silver on brass at 13.56 MHz:

    >>> from crosscurrent.solver.metals.materials import material
    >>> answer = plating_answer(PlatingFinish(material("brass"), (), material("silver"), 13.56e6))
    >>> round(answer.enough * 1e6, 1), round(answer.lowest[0] * 1e6, 1), answer.hurts
    (22.6, 27.1, ())
    """
    thickness = _thicknesses(finish)
    impedance = finish.surface(thickness).impedance
    resistance = impedance.real
    variants = [(t, f.resistance(t)) for f in finish.variants() for t in [_thicknesses(f)]]
    within = [_enough(*curve) for curve in variants]
    # dR/dt = -sigma (R^2 - X^2) in the outer metal: dips and peaks are where R and X cross
    turns = np.array(_crossings(thickness[1:], (resistance - impedance.imag)[1:]))
    turning = np.interp(turns, thickness, resistance)
    ends = resistance[[0, -1]]
    dips, peaks = turning < (1 - 1e-4) * ends.min(), turning > (1 + 1e-4) * ends.max()
    return PlatingAnswer(
        _enough(thickness, resistance), (min(within), max(within)),
        _extreme(turns[dips], turning[dips], 1), _extreme(turns[peaks], turning[peaks], -1),
        _ranges(thickness, resistance - (1 + WORTH) * finish.bare), float(max(r.max() for _, r in variants)),
    )  # fmt: skip


def table_thicknesses(finish: PlatingFinish) -> list[float]:
    """Round thicknesses [m] over which the resistance changes, and none at all.

    Examples
    --------
    >>> from crosscurrent.solver.metals.materials import material
    >>> [round(t * 1e6) for t in table_thicknesses(PlatingFinish(material("brass"), (), material("silver"), 13.56e6))]
    [0, 1, 2, 3, 5, 8, 10, 20, 30, 50]
    """
    first, last = 0.05 * finish.depth, 3.5 * finish.depth
    powers = range(math.floor(math.log10(first * 1e6)), math.ceil(math.log10(last * 1e6)) + 1)
    steps = [s * 10.0**p * 1e-6 for p in powers for s in SERIES]
    return [0.0, *(t for t in steps if first <= t <= last)]


def price_of_roughness(finish: PlatingFinish, thickness: float | None, roughness: float) -> tuple[float, float, float]:
    """Resistance over that of the polished surface: by the gradient model, and the lowest and highest of all models.

    Parameters
    ----------
    finish : PlatingFinish
    thickness : float or None
        Of the last layer [m]; None for the outer metal alone.
    roughness : float
        Rq [m], well below the thickness.

    Examples
    --------
    >>> from crosscurrent.solver.metals.materials import material
    >>> copper = PlatingFinish(material("copper"), (), material("copper"), 8e6)
    >>> [round(factor, 3) for factor in price_of_roughness(copper, None, 3.2e-6)]
    [1.034, 1.0, 1.034]
    """
    layers = [Layer(finish.outer)] if thickness is None else finish.layers(thickness)
    found = layered_roughening(layers, finish.frequency, roughness, temperature=finish.temperature)
    factor = float(found.resistance)
    low, high = spread(roughness / finish.depth)
    return factor, min(factor, float(low)), max(factor, float(high))


def _as_plated(metal: Material) -> list[Material]:
    """The metal as the library has it, and over the bounds of its plated form."""
    if metal.as_plated is None:
        return [metal]
    sigmas = {metal.conductivity, *np.geomspace(*metal.as_plated.conductivity, 3).tolist()}
    mus = {metal.permeability, *np.geomspace(*metal.as_plated.permeability, 9).tolist()}
    return [replace(metal, conductivity=sigma, permeability=mu) for sigma, mu in product(sigmas, mus)]


def _thicknesses(finish: PlatingFinish) -> FloatArray:
    return finish.depth * np.concatenate(([0.0], np.geomspace(1e-4, DEEPEST, 4000)))


def _enough(thickness: FloatArray, resistance: FloatArray) -> float:
    thicker = np.minimum.accumulate(resistance[::-1])[::-1]  # least of what this thickness or more has
    spare = (1 - WORTH) * resistance - thicker
    if spare[0] <= 0:
        return 0.0
    return _crossings(thickness, spare)[0]


def _crossings(thickness: FloatArray, value: FloatArray) -> list[float]:
    """Where the value changes its sign."""
    k = np.flatnonzero((value[:-1] > 0) != (value[1:] > 0))
    share = value[k] / (value[k] - value[k + 1])
    return [float(t) for t in thickness[k] + share * (thickness[k + 1] - thickness[k])]


def _extreme(thickness: FloatArray, resistance: FloatArray, sign: int) -> tuple[float, float] | None:
    if not len(thickness):
        return None
    k = int((sign * resistance).argmin())
    return float(thickness[k]), float(resistance[k])


def _ranges(thickness: FloatArray, above: FloatArray) -> tuple[tuple[float, float], ...]:
    edges = _crossings(thickness, above)
    if above[0] > 0:
        edges = [0.0, *edges]
    if len(edges) % 2:
        edges.append(math.inf)
    return tuple(zip(edges[::2], edges[1::2], strict=True))
