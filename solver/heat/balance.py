"""Where heat made and heat lost meet: the steady temperatures of all conductors.

Heat made follows the resistivity, P (rho(T) / rho(T_0))^e, with e from two solutions of the field: 1 for direct
current, 1/2 where the skin is thin, anything for induced currents.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from crosscurrent.geometries.arrays import BoolArray, FloatArray
from crosscurrent.geometries.errors import CrosscurrentError
from crosscurrent.geometries.meshing.lattice import lattice
from crosscurrent.solver.elements.factor import one_thread
from crosscurrent.solver.field.problem import Conductor

from .conduction import Conduction
from .cooling import Exchange, Losses

CEILING = 400.0  # the linear law of resistivity is trusted no further [degC]; common practice, no source
ABSOLUTE_ZERO = -273.15  # [degC]
STEPS = 4000
CLOSE = 1e-10  # change of temperature at which the balance is found, relative to the rise
PATIENCE = 20  # steps in a row above the ceiling, kept there, until there is no steady state below it
TURNS = 40  # steps that go back and forth before the coefficients are kept
BEGIN = 20.0  # rise to begin with [K]


class NoStableTemperature(CrosscurrentError, ValueError):
    """Heat grows faster with temperature than the air can take it away.

    Parameters
    ----------
    message : str
    names : frozenset of str
        Conductors that make more than they lose at the highest temperature; empty where that is not known.
    """

    def __init__(self, message: str, names: frozenset[str] = frozenset()) -> None:
        super().__init__(message)
        self.names = names


@dataclass(frozen=True, eq=False)
class Sources:
    """The heat of a solution, and how it changes with temperature.

    Attributes
    ----------
    conductors : tuple of Conductor
        At the temperatures the heat was computed for.
    load : (unknowns, conductors) float
        [W/m]
    exponent : (conductors,) float
        Of the loss over the resistivity.
    fixed : (conductors,) bool
        Those that something else, water, keeps at the temperature they have.
    scale : float
        Multiplier on all losses: the square of a common factor on the currents.
    """

    conductors: tuple[Conductor, ...]
    load: FloatArray
    exponent: FloatArray
    fixed: BoolArray
    scale: float = 1.0

    @cached_property
    def power(self) -> FloatArray:
        """Loss of every conductor as computed, (conductors,) [W/m]."""
        return np.asarray(self.load.sum(axis=0))

    @cached_property
    def computed_at(self) -> FloatArray:
        """Temperatures of the conductors it was computed for [degC]."""
        return np.array([c.temperature for c in self.conductors])

    def growth(self, temperature: FloatArray) -> FloatArray:
        """Loss at temperatures (conductors,) over the loss as computed and scaled."""
        ratio = resistivity_ratio(self.conductors, temperature)
        return np.asarray(self.scale * ratio**self.exponent)

    def scaled(self, factor: float) -> Sources:
        """With all currents multiplied by a factor."""
        return replace(self, scale=self.scale * factor**2)


def resistivity_ratio(conductors: tuple[Conductor, ...], temperature: FloatArray) -> FloatArray:
    """Resistivity of the base metals at temperatures over that at the conductors' own.

    Examples
    --------
    100 K warmer copper:

    >>> from crosscurrent.geometries.plane.part import Part
    >>> from crosscurrent.geometries.plane.shapes import round_bar
    >>> from crosscurrent.solver.metals.materials import MATERIALS
    >>> rod = Conductor(Part("rod", round_bar(0.02)), MATERIALS["copper"], 20.0)
    >>> round(float(resistivity_ratio((rod,), np.array([120.0]))[0]), 3)
    1.393
    """
    return np.array(
        [
            c.material.conductivity_at(c.temperature) / c.material.conductivity_at(float(t)) if c.conducts else 1.0
            for c, t in zip(conductors, temperature, strict=True)
        ]
    )


@dataclass(frozen=True, eq=False)
class Balance:
    """Steady temperatures.

    Attributes
    ----------
    conduction : Conduction
    exchange : Exchange
    sources : Sources
    surface, mean : (conductors,) float
        Mean temperature of the surface, and over the section [degC].
    piece : (n,) float
        Mean temperature of every piece of surface [degC].
    losses : Losses
        Heat of every piece [W/m].
    power : (conductors,) float
        Heat made [W/m].
    """

    conduction: Conduction
    exchange: Exchange
    sources: Sources
    surface: FloatArray
    mean: FloatArray
    piece: FloatArray
    losses: Losses
    power: FloatArray

    @cached_property
    def field(self) -> FloatArray:
        """Temperature at the unknowns of the metal, nan in air [degC]."""
        load = self.sources.load @ self.sources.growth(self.mean)
        found = self.conduction.field(load, self.losses.total, self.surface)
        for k in np.flatnonzero(self.sources.fixed):
            found[self.conduction.unknowns_of(int(k))] = self.surface[k]
        return found

    @cached_property
    def hottest(self) -> tuple[FloatArray, FloatArray]:
        """Temperature of the hottest point of every conductor (conductors,) [degC], and where it is (..., 2) [m]."""
        c = self.conduction
        e = c.elements
        at_dofs = self.field[e.dofs[e.metal]]
        value, place = np.empty(c.count), np.empty((c.count, 2))
        for k in range(c.count):
            rows = np.flatnonzero(c.part == k)
            row, node = np.unravel_index(at_dofs[rows].argmax(), at_dofs[rows].shape)
            value[k] = at_dofs[rows[row], node]
            place[k] = e.positions(e.metal[rows[row : row + 1]], lattice(e.order)[[node], 1:] / e.order)[0, 0]
        return value, place

    @property
    def lost(self) -> FloatArray:
        """Heat that every conductor gives to the air and to its neighbours, (conductors,) [W/m]."""
        return self.by_conductor(self.losses.total)

    def by_conductor(self, heat: FloatArray) -> FloatArray:
        """Sums of the pieces' heat, (conductors,) [W/m]."""
        return np.bincount(self.exchange.panels.part, heat, minlength=self.conduction.count).astype(float)


def steady(conduction: Conduction, exchange: Exchange, sources: Sources) -> Balance:
    """The temperatures at which every conductor gives away what it makes.

    Raises
    ------
    NoStableTemperature
        There are none below `CEILING`.
    """
    part, air = exchange.panels.part, exchange.cooling.air
    count = conduction.count
    rise = conduction.rise(sources.load)
    offset = np.where(sources.fixed[part], 0.0, (conduction.means @ rise)[np.arange(len(part)), part])
    inside = (conduction.average * rise.T).sum(axis=1)
    surface = np.full(count, air + BEGIN)
    mean, piece, change, turns, above = surface, surface[part], np.zeros(count), 0, 0
    coefficient = exchange.coefficients(surface)
    prescribed = np.where(sources.fixed, sources.computed_at - air, np.nan)
    for _ in range(STEPS):
        growth = sources.growth(mean)
        # a coefficient that jumps between two correlations from step to step is kept in the end
        coefficient = exchange.coefficients(surface) if turns < TURNS else coefficient
        links = exchange.links(piece, coefficient)
        warped = offset * growth[part]
        with one_thread():
            level, heat = _levels(conduction, links.matrix, warped, sources.power * growth, prescribed)
        before, surface = surface, air + level
        piece = surface[part] + warped - conduction.response @ heat
        mean = surface + inside * growth - conduction.mean_response @ heat
        mean = np.where(sources.fixed, sources.computed_at, mean)
        above = above + 1 if mean[~sources.fixed].max(initial=air) > CEILING else 0
        # far beyond any steady state a conductor kept at its temperature would have to be colder than cold
        if above > PATIENCE or not np.isfinite(mean).all() or min(piece.min(), surface.min()) <= ABSOLUTE_ZERO:
            break
        if above:  # a step may go too far: hotter, it gives away more
            surface, piece, mean = (np.minimum(t, CEILING) for t in (surface, piece, mean))
            continue
        turns += bool((change * (surface - before)).min() < 0)
        change = surface - before
        if np.abs(change).max() <= CLOSE * max(np.abs(level).max(), 1e-3):
            losses = links.losses(piece - air)
            return Balance(conduction, exchange, sources, surface, mean, piece, losses, sources.power * growth)
    raise _runaway(exchange, sources)


def _levels(
    conduction: Conduction, matrix: FloatArray, warped: FloatArray, power: FloatArray, prescribed: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Mean surface temperatures above the air (conductors,), some of them fixed, and heat of the pieces (n,)."""
    part, count = conduction.panels.part, conduction.count
    belongs = (part[:, None] == np.arange(count)).astype(float)
    right = matrix @ np.column_stack((belongs, warped))
    each = np.linalg.solve(np.eye(len(part)) + matrix @ conduction.response, right)
    summed = belongs.T @ each
    fixed = np.isfinite(prescribed)
    rows = np.where(fixed[:, None], np.eye(count), summed[:, :count])
    level = np.linalg.solve(rows, np.where(fixed, prescribed, power - summed[:, count]))
    return level, each[:, :count] @ level + each[:, count]


def _runaway(exchange: Exchange, sources: Sources) -> NoStableTemperature:
    count = len(sources.conductors)
    hot = np.maximum(CEILING, np.where(sources.fixed, sources.computed_at, CEILING))
    piece = hot[exchange.panels.part]
    lost = exchange.links(piece, exchange.coefficients(hot)).losses(piece - exchange.cooling.air).total
    away = np.bincount(exchange.panels.part, lost, minlength=count)
    made = sources.power * sources.growth(hot)
    beyond = np.where(sources.fixed, -np.inf, made - away)
    worst = int(beyond.argmax())
    return NoStableTemperature(
        f'"{sources.conductors[worst].name}" has no stable temperature up to {CEILING:g} degC: there it would make '
        f"{made[worst]:.0f} W/m and lose {away[worst]:.0f} W/m; its resistance grows faster than the cooling",
        frozenset(c.name for c, excess in zip(sources.conductors, beyond, strict=True) if excess > 0),
    )
