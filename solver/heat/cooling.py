"""What cools the conductors: air, radiation to the room, and what faces exchange with each other.

A face that looks at nothing but the room is cooled by moving air (`convection`) and radiates to surroundings at
the temperature of the air. Faces that see each other exchange radiation as grey, diffuse bodies (the share between
any two pieces from `view_factors`, reflections included). In front of a face stands a gap if its normal meets metal.
The room's air reaches into a gap

- as far as the gap is wide, counted along the face from the next place with nothing in front,
- beyond that only between faces that air can rise along (closer to upright than 45 degrees), as freely as Bar-Cohen
  and Rohsenow found for a channel (`convection.openness`), and
- not at all where the gap has no mouth.

For the rest, heat crosses the gap by conduction through the air.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Literal

import numpy as np

from crosscurrent.geometries.arrays import FloatArray, IntArray
from crosscurrent.geometries.plane.axial import on_axis
from crosscurrent.geometries.plane.part import Part

from .convection import SCATTER, ZERO, AirStream, Correlation, Face, Film, air_at, film, openness
from .lying import Lie, lying
from .view_factors import WEIGHTS, Panels

STEFAN_BOLTZMANN = 5.670374419e-8  # CODATA 2018 [W/(m2 K4)]
ROUNDNESS = 0.9  # 4 pi area over perimeter squared from which a conductor counts as a cylinder (a square has 0.785)


@dataclass(frozen=True)
class Finish:
    """How well a surface radiates.

    Parameters
    ----------
    name : str
    emissivity, low, high : float
        Total hemispherical; the usual value and the bounds it is met within.
    source : str
    """

    name: str
    emissivity: float
    low: float
    high: float
    source: str = "Copper Development Association, Copper for Busbars (value from memory; bounds: common practice)"


FINISHES = {
    f.name: f
    for f in (
        Finish("bright", 0.10, 0.05, 0.15),
        Finish("dull", 0.30, 0.20, 0.40),
        Finish("oxidised", 0.70, 0.60, 0.80),
        Finish("painted", 0.90, 0.85, 0.95),
    )
}


FREE = AirStream()
Taken = Literal["emissivity", "low", "high"]


@dataclass(frozen=True)
class Cooling:
    """What the conductors stand in.

    Parameters
    ----------
    air : float
        Temperature of the air and of what the faces radiate to [degC].
    finish : Finish
    stream : AirStream
    scale : float
        Multiplier on every coefficient of moving air: 1, or what the correlations' scatter allows.
    taken : "emissivity", "low" or "high"
        Which value of the finishes is in use.
    others : tuple of (str, Finish)
        Conductors with a finish of their own, by name.
    lying : bool
        Whether the axis of a section round one lies; else it stands upright.
    held : frozenset of str
        Conductors that something else keeps at the temperature they have.
    """

    air: float
    finish: Finish = FINISHES["dull"]
    stream: AirStream = FREE
    scale: float = 1.0
    taken: Taken = "emissivity"
    others: tuple[tuple[str, Finish], ...] = ()
    lying: bool = False
    held: frozenset[str] = frozenset()

    def finish_of(self, name: str) -> Finish:
        """That of a conductor."""
        return dict(self.others).get(name, self.finish)

    def emitted(self, name: str) -> float:
        """Emissivity of a conductor that is in use."""
        return float(getattr(self.finish_of(name), self.taken))

    def at_its_worst(self) -> Cooling:
        """The least cooling that scatter and finish allow."""
        return replace(self, scale=1 - SCATTER, taken="low")

    def at_its_best(self) -> Cooling:
        """The most."""
        return replace(self, scale=1 + SCATTER, taken="high")

    @property
    def extremes(self) -> tuple[Cooling, ...]:
        """Between which temperatures lie: best and worst, and both mixed beside hot pieces, whose radiation heats."""
        usual = self.at_its_best(), self.at_its_worst()
        return (*usual, *(replace(c, scale=2 - c.scale) for c in usual)) if self.held else usual


@dataclass(frozen=True, eq=False)
class Losses:
    """Heat of every piece of surface [W/m], all positive outward.

    Attributes
    ----------
    convection, radiation : (n,) float
        To the room.
    exchange : (n,) float
        To other pieces; sums to zero.
    """

    convection: FloatArray
    radiation: FloatArray
    exchange: FloatArray

    @property
    def total(self) -> FloatArray:
        """All three."""
        return self.convection + self.radiation + self.exchange


@dataclass(frozen=True, eq=False)
class Links:
    """Conductances at some temperatures of the pieces: to the air and by radiation to the room (n,), between pieces
    (n, n) [W/(m K)].
    """

    air: FloatArray
    room: FloatArray
    between: FloatArray

    @property
    def matrix(self) -> FloatArray:
        """Heat of the pieces by their temperatures above the air, (n, n)."""
        return np.diag(self.air + self.room + self.between.sum(axis=1)) - self.between

    def losses(self, above: FloatArray) -> Losses:
        """Heat at temperatures above the air (n,) [K]."""
        exchange = self.between.sum(axis=1) * above - self.between @ above
        return Losses(self.air * above, self.room * above, exchange)


@dataclass(frozen=True, eq=False)
class Exchange:
    """The pieces of surface of a section in a cooling.

    Attributes
    ----------
    panels : Panels
    parts : tuple of Part
    cooling : Cooling
    """

    panels: Panels
    parts: tuple[Part, ...]
    cooling: Cooling

    @cached_property
    def faces(self) -> tuple[Face, ...]:
        """One for every piece; alike pieces give equal ones."""
        found = []
        for normal, part in zip(self.panels.normal.tolist(), self.panels.part.tolist(), strict=True):
            outer = self.parts[part].shape.outer
            is_round = 4 * math.pi * abs(outer.area) / outer.perimeter**2 > ROUNDNESS
            is_ball = is_round and self._axial and on_axis(self.parts[part].shape)
            along = np.array([-normal[1], normal[0]])
            extent = float(np.ptp(self.panels.start[self.panels.part == part] @ along))
            girth = float(outer.perimeter)
            up = 0.0 if is_round else round(normal[1], 6)
            size = girth if is_round else float(f"{extent:.6g}")
            found.append(Face(up, size, girth, is_round and not is_ball, is_ball))
        return tuple(found)

    @property
    def _axial(self) -> bool:
        return self.panels.mesh.axial

    @cached_property
    def radiating(self) -> tuple[FloatArray, FloatArray]:
        """Total exchange areas between pieces (n, n) and from pieces to the room (n,), reflections included [m].

        Grey enclosure (H. C. Hottel and A. F. Sarofim, Radiative Transfer, 1967): with S the direct exchange areas,
        A their sums and e the emissivities of the pieces, e S (1 - (1 - e) S / A)^-1 e.
        """
        seen = self.panels.view_factors
        e = np.array([self.cooling.emitted(part.name) for part in self.parts])[self.panels.part]
        whole = seen.areas.sum(axis=1) + seen.room
        reflected = np.eye(len(whole)) - ((1 - e) / whole)[:, None] * seen.areas
        between = e[:, None] * (seen.areas @ np.linalg.inv(reflected)) * e
        between = (between + between.T) / 2
        return between, np.where(seen.room.any(), np.maximum(e * whole - between.sum(axis=1), 0.0), 0.0)

    @cached_property
    def _kinds(self) -> tuple[list[tuple[tuple[Lie, ...], int]], IntArray]:
        """Kinds of pieces with their conductors, alike in all that moves air, and which of them every piece is."""
        found: dict[tuple[tuple[Lie, ...], int], int] = {}
        number = []
        for k, (face, part) in enumerate(zip(self.faces, self.panels.part.tolist(), strict=True)):
            lies: tuple[Lie, ...] = ((face, self.cooling.stream),)
            if self._axial and self.cooling.lying and not face.is_ball:
                radial = float(self.panels.normal[k, 0])
                lies = lying(face, radial, self.parts[part], self.cooling.stream)
            number.append(found.setdefault((lies, part), len(found)))
        return list(found), np.array(number)

    def films(self, surface: FloatArray) -> list[tuple[Film, ...]]:
        """Of every piece, if nothing stood in front, at surface temperatures of the conductors [degC].

        More than one where it goes round an axis that lies: evenly round it.
        """
        kinds, number = self._kinds
        known = [
            tuple(film(face, stream, float(surface[part]), self.cooling.air) for face, stream in lies)
            for lies, part in kinds
        ]
        return [known[k] for k in number]

    def coefficients(self, surface: FloatArray) -> FloatArray:
        """Of moving air, within their scatter, (n,) [W/(m2 K)]."""
        return self.cooling.scale * np.array([sum(c for c, _ in ways) / len(ways) for ways in self.films(surface)])

    def used(self, surface: FloatArray) -> list[Correlation]:
        """The correlations behind them, each once."""
        return list({c.name: c for ways in self.films(surface) for _, c in ways}.values())

    def links(self, piece: FloatArray, coefficient: FloatArray) -> Links:
        """Conductances at temperatures of the pieces (n,) [degC] and coefficients of moving air (n,)."""
        open_to_air, across = self.gaps(coefficient, float(piece.mean()))
        kelvin, room = piece + ZERO, self.cooling.air + ZERO
        between, outside = self.radiating
        square = (kelvin[:, None] ** 2 + kelvin**2) * (kelvin[:, None] + kelvin)
        return Links(
            coefficient * open_to_air * self.panels.area,
            STEFAN_BOLTZMANN * outside * (kelvin**2 + room**2) * (kelvin + room),
            STEFAN_BOLTZMANN * between * square + across,
        )

    def gaps(self, coefficient: FloatArray, temperature: float) -> tuple[FloatArray, FloatArray]:
        """Share of every piece that the room's air reaches (n,), conductances across gaps (n, n) [W/(m K)]."""
        seen, stream = self.panels.view_factors, self.cooling.stream
        air = air_at(temperature, stream.altitude)
        share = np.zeros(seen.gap.shape)
        across = np.zeros((len(share), len(share)))
        lies = 0 if self._axial and self.cooling.lying else 1
        upright = np.abs(self.panels.normal[:, lies]) * math.cos(stream.tilt) < math.sqrt(0.5)
        for k, m in zip(*np.nonzero(np.isfinite(seen.gap)), strict=True):
            gap, mouth = float(seen.gap[k, m]), seen.mouth[k, m]
            if mouth <= gap:
                share[k, m] = 1.0
            elif np.isfinite(mouth) and upright[k] and not stream.speed:
                share[k, m] = openness(gap, float(coefficient[k]), air.conductivity)
            still = (1 - share[k, m]) * WEIGHTS[m] * self.panels.area[k] * air.conductivity / gap
            across[k, seen.facing[k, m]] += still
        share[~np.isfinite(seen.gap)] = 1.0
        both = (across + across.T) / 2
        if self._axial:  # small turns before wide plates: whose pieces are the shorter ones knows where gaps end
            finer = self.panels.length[:, None] < 0.5 * self.panels.length
            both = np.where(finer, across, np.where(finer.T, across.T, both))
        return share @ WEIGHTS, both
