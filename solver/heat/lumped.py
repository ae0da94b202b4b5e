"""The cooling of a section with one temperature for every conductor: what heat in time is followed with."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from crosscurrent.geometries.arrays import FloatArray

from .convection import ZERO
from .cooling import STEFAN_BOLTZMANN, Exchange

TABLE = np.concatenate((np.arange(-40.0, 40.0, 2.0), np.arange(40.0, 401.0, 10.0)))  # above the air [K]


@dataclass(frozen=True, eq=False)
class Lumped:
    """The cooling of a section as one temperature for every conductor sees it.

    Attributes
    ----------
    exchange : Exchange
    count : int
    """

    exchange: Exchange
    count: int

    def _summed(self, of: FloatArray) -> FloatArray:
        part = self.exchange.panels.part
        belongs = (part[:, None] == np.arange(self.count)).astype(float)
        return np.asarray(belongs.T @ of @ belongs if of.ndim == 2 else belongs.T @ of)

    @cached_property
    def air(self) -> FloatArray:
        """Conductance to moving air at the temperatures of `TABLE`, (len(TABLE), conductors) [W/(m K)]."""
        rows = []
        for above in TABLE:
            level = np.full(self.count, self.exchange.cooling.air + above)
            links = self.exchange.links(level[self.exchange.panels.part], self.exchange.coefficients(level))
            rows.append(self._summed(links.air))
        return np.array(rows)

    @cached_property
    def radiating(self) -> tuple[FloatArray, FloatArray]:
        """Total exchange areas between conductors, and to the room [m]."""
        between, room = self.exchange.radiating
        return self._summed(between), self._summed(room)

    @cached_property
    def across(self) -> FloatArray:
        """Conductances of the air in gaps, (conductors, conductors) [W/(m K)]."""
        warm = self.exchange.cooling.air + 40.0
        return self._summed(self.exchange.gaps(self.exchange.coefficients(np.full(self.count, warm)), warm)[1])

    def lost(self, temperature: FloatArray) -> FloatArray:
        """Heat of the conductors at temperatures [degC], (conductors,) [W/m]."""
        air = self.exchange.cooling.air
        above, fourth = temperature - air, (temperature + ZERO) ** 4
        film = np.array([np.interp(a, TABLE, self.air[:, k]) for k, a in enumerate(above)])
        between, room = self.radiating
        radiated = room * (fourth - (air + ZERO) ** 4) + between.sum(axis=1) * fourth - between @ fourth
        crossed = self.across.sum(axis=1) * temperature - self.across @ temperature
        return np.asarray(film * above + STEFAN_BOLTZMANN * radiated + crossed)
