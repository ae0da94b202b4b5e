"""Many fine strands as one medium: the complex permeability of their packing and the impedance of each inside it."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import cache
from typing import Literal

import numpy as np

from crosscurrent.geometries.arrays import ComplexArray, FloatArray

from .depth import MU0
from .one_strand import Numbers, ratios, strained
from .strand_edge import lattice_edge
from .strand_layout import Layout
from .strand_network import LARGEST, network, places_edge
from .strand_rings import RingLadder
from .strand_rows import FLAT, Rows, smooth_rows

Lay = Literal["transposed", "concentric", "straight"]
POLES = 12  # orders of the strands' fields; the truncation changes mu by less than 1e-9 up to a filling of 0.9


@dataclass(frozen=True)
class Strands:
    """The strands that fill the outline of a conductor.

    Parameters
    ----------
    count : int
    diameter : float
        Of the bare strand [m].
    layout : "hexagonal", "square" or "rings"
        Rings round a middle are hexagonal from near by.
    lay : "transposed", "concentric" or "straight"
        Transposed: every strand the same current, its place within the bundle changes along the run. Concentric: each
        keeps to its ring of a round bundle, the strands of one ring share evenly. Straight: parallel all the way.
    take_up : float
        Length of a strand over that of the bundle.
    levels : tuple of int
        Groups of groups, the outermost first: (5, 84) is five groups of 84 strands; () or (n,) one group.
    space : float, optional
        Area that a strand has within its innermost group [m2]; else all of the outline is shared evenly.
    gathered : bool
        The outline is a circle and the strands lie at the places of their layout in it: the edge they make is known.
    crowded : bool
        The outline is a circle too small for the places of their layout: they lie in the densest packings known.
    turn : float
        Of their places about the middle [rad].
    mirrored : bool
        Whether the places are mirrored about the x axis before.
    """

    count: int
    diameter: float
    layout: Layout = "hexagonal"
    lay: Lay = "transposed"
    take_up: float = 1.0
    levels: tuple[int, ...] = ()
    space: float | None = None
    gathered: bool = False
    crowded: bool = False
    turn: float = 0.0
    mirrored: bool = False

    @property
    def edged(self) -> bool:
        """Whether what their edge adds to an outline is known: of one group of a lattice that shares evenly."""
        alike = self.gathered and self.lay == "transposed" and self.layout != "rings"
        return alike and len(self.levels) < 2 and self.space is None and self.count > 1

    @property
    def networked(self) -> bool:
        """Whether what their places add to an outline is known: of one group of straight ones."""
        alike = self.gathered and self.lay == "straight" and 1 < self.count <= LARGEST[self.layout]
        return alike and len(self.levels) < 2 and self.space is None

    @property
    def copper(self) -> float:
        """Metal across the run [m2]; strands that lie askew have more of it."""
        return self.count * self.take_up * math.pi / 4 * self.diameter**2

    @property
    def ringed(self) -> bool:
        """Whether they lie, and carry their current, in rings."""
        return self.lay == "concentric" or (self.layout == "rings" and self.lay == "transposed")

    @property
    def given(self) -> bool:
        """Whether the lay spreads the current, not the field within the bundle."""
        return self.lay != "straight"

    def resistance(self, conductivity: float) -> float:
        """Of all strands in parallel to direct current [ohm/m] at a conductivity [S/m]."""
        return self.take_up / (conductivity * self.count * math.pi / 4 * self.diameter**2)


@dataclass(frozen=True)
class Cell:
    """A strand and its share of the space.

    Attributes
    ----------
    permeability : complex
        Of the medium, relative; its imaginary part is negative: loss in the changing field of others.
    impedance : complex
        What drives a current through one strand beyond the field of the medium, per metre of strand [ohm/m].
    exciting : complex
        The field that a strand is put into, over the mean flux density of the medium.
    """

    permeability: complex
    impedance: complex
    exciting: complex


def strand_cell(fill: float, diameter: float, conductivity: float, frequency: complex, layout: Layout) -> Cell:
    """The medium that a regular packing of round strands is.

    Parameters
    ----------
    fill : float
        Copper area over area.
    diameter : float
        Of a strand [m].
    conductivity : float
        [S/m]
    frequency : float or complex
        [Hz]; s / (2 pi j) for a field that changes as exp(s t).
    layout : "hexagonal" or "square"

    Notes
    -----
    Multipoles of a lattice of cylinders, each scattered by the next (W. T. Perrins, D. R. McKenzie and R. C. McPhedran,
    Proceedings of the Royal Society A 369, 207-225, 1979, from memory), with the coefficients of a conducting
    cylinder in an alternating field. exp(+j w t).

    Examples
    --------
    At rest the strands are as air; in a fast field they shut it out:

    >>> strand_cell(0.6, 1e-4, 58e6, 0.0, "hexagonal").permeability
    (1+0j)
    >>> abs(strand_cell(0.6, 1e-3, 58e6, 1e9, "hexagonal").permeability) < 0.3
    True
    """
    found = strand_cells(fill, diameter, conductivity, np.array([frequency]), layout)
    return Cell(*(complex(part[0]) for part in found))


def strand_cells(
    fill: float, diameter: float, conductivity: float, frequency: Numbers, layout: Layout
) -> tuple[ComplexArray, ComplexArray, ComplexArray]:
    """Permeability, impedance and exciting field at frequencies (m,), each (m,); see `strand_cell`.

    Examples
    --------
    >>> strand_cells(0.6, 1e-4, 58e6, np.array([0.0]), "hexagonal")[0].tolist()
    [(1+0j)]
    """
    resting = 4 / (conductivity * math.pi * diameter**2)
    permeability, exciting = np.ones((2, len(frequency)), dtype=complex)
    impedance = np.full(len(frequency), resting, dtype=complex)
    on = frequency != 0
    if on.any():
        turning = 2j * math.pi * frequency[on]
        z = diameter / 2 * np.sqrt(turning * MU0 * conductivity)
        permeability[on], exciting[on] = _permeability(fill, z, layout)
        seen = -math.log(fill) - permeability[on] / 2  # what the field of the medium counts already is taken away
        impedance[on] = resting * z / 2 / ratios(z, 0)[0] + turning * MU0 / (4 * math.pi) * seen
    return permeability, impedance, exciting


def inductance_at_rest(fill: float) -> float:
    """What a strand has beyond the field of the medium at 0 Hz [H/m]: the slope of its impedance by j w."""
    return -MU0 / (4 * math.pi) * math.log(fill)


def _permeability(fill: float, z: ComplexArray, layout: Layout) -> tuple[ComplexArray, ComplexArray]:
    """Of the medium, and the field around a strand over its mean flux density."""
    step = 2 if layout == "square" else 6
    orders = np.array([n for n in range(1, 6 * POLES) if n % step in (1, step - 1)][:POLES])
    ratio = ratios(z, int(orders[-1]) + 1)
    scattered = -ratio[orders] * ratio[orders - 1]  # -I(n+1) / I(n-1)
    radius = math.sqrt(fill / math.pi * (1 if layout == "square" else math.sqrt(3) / 2))  # over the pitch
    degrees = orders[:, None] + orders
    sums = _lattice_sums(layout, int(degrees.max()))[degrees]
    ways = np.array([[math.comb(int(n + m - 1), int(n)) for m in orders] for n in orders], dtype=float)
    system = np.eye(POLES) + ways * sums * radius**degrees * scattered.T[:, None]
    first = np.linalg.solve(system, np.eye(POLES)[:, :1])[:, 0, 0]
    turned = fill * scattered[0] * first
    return np.asarray((1 + turned) / (1 - turned)), np.asarray(first / (1 + turned))


@cache
def _lattice_sums(layout: Layout, highest: int) -> FloatArray:
    """Sum of 1 / (x + j y)^n over the lattice of pitch 1 but for the origin, (highest + 1,); that of n = 2 is 0."""
    sums = np.zeros(max(highest, 6) + 1)
    if layout == "square":
        sums[4] = math.gamma(0.25) ** 8 / (960 * math.pi**2)
    else:
        sums[6] = math.gamma(1 / 3) ** 18 / (8960 * math.pi**6)
    for n in range(4, highest // 2 + 1):
        products = sum((2 * m - 1) * (2 * (n - m) - 1) * sums[2 * m] * sums[2 * (n - m)] for m in range(2, n - 1))
        sums[2 * n] = 3 * products / ((2 * n + 1) * (n - 3) * (2 * n - 1))
    return sums


@dataclass(frozen=True)
class Medium:
    """What a whole bundle is at one frequency, to the field around it and to its current.

    Attributes
    ----------
    permeability : complex
        Relative.
    impedance : complex
        Of all strands in parallel, beyond the field of the medium [ohm/m].
    resistance, inductance : float
        The same at rest [ohm/m], [H/m].
    lay : "transposed", "concentric" or "straight"
    exciting : complex
        As of the cell.
    rings : Rings, optional
        Where strands lie in rings.
    rows : Rows, optional
        Where they share as the field asks: permeability and impedance are those of a medium that answers as they do.
    edge : complex
        In row with that: what the places of straight strands add to the impedance of the whole [ohm/m].
    """

    permeability: complex
    impedance: complex
    resistance: float
    inductance: float
    lay: Lay
    exciting: complex = 1.0
    rings: Rings | None = None
    rows: Rows | None = None
    edge: complex = 0.0

    @property
    def given(self) -> bool:
        """Whether the lay spreads the current, not the field within the bundle."""
        return self.lay != "straight"

    def along(self, length: float) -> Medium:
        """The same with the impedance of a length [m] in place of that of a metre."""
        if length == 1:
            return self
        rings = None if self.rings is None else replace(self.rings, excess=self.rings.excess * length)
        rows = None if self.rows is None else replace(self.rows, impedance=self.rows.impedance * length)
        own = {name: getattr(self, name) * length for name in ("impedance", "resistance", "inductance", "edge")}
        return replace(self, **own, rings=rings, rows=rows)

    @property
    def conducting(self) -> complex:
        """J over E of the field, over the conductivity at rest."""
        return 1.0 if self.given else self.resistance / self.impedance

    @property
    def heating(self) -> complex:
        """Complex power of the current over what it would be at rest: sigma |E|^2 with J = sigma E."""
        return self.impedance / self.resistance if self.given else (self.resistance / self.impedance).conjugate()


@dataclass(frozen=True)
class Rings:
    """How the rings of a bundle share.

    Attributes
    ----------
    excess : complex
        What they add to the impedance of the bundle [ohm/m].
    shares : tuple of complex
        Current of a strand, or group, in every ring from the innermost on, over the mean; of the outermost groups.
    least, most : float
        Of the size of the current of single strands, over the mean.
    squared : float
        Mean square of that.
    """

    excess: complex
    shares: tuple[complex, ...]
    least: float
    most: float
    squared: float


@dataclass(frozen=True)
class Media:
    """Strands in an outline at frequencies (m,).

    Attributes
    ----------
    permeability, impedance, exciting : (m,) complex
        As of `Medium`.
    inductance : float
        At rest [H/m].
    excess : (m,) complex
        Part of the impedance that is due to rings [ohm/m].
    outermost : RingLadder
        Its groups, or strands, as they would lie in rings.
    inward : (m,) complex
        Impedance of one of them, from its surface inwards [ohm/m].
    network : (m,) complex, optional
        Of the whole, less the flux beyond its outline, by the places of straight strands [ohm/m].
    shares : tuple of ((m, rings) complex, (rings,) float)
        For every level of groups in rings, the outermost first: current of a unit over the mean, and units in each.
    """

    permeability: ComplexArray
    impedance: ComplexArray
    exciting: ComplexArray
    inductance: float
    excess: ComplexArray
    outermost: RingLadder
    inward: ComplexArray
    network: ComplexArray | None = None
    shares: tuple[tuple[ComplexArray, FloatArray], ...] = ()

    def rings(self, number: int) -> Rings | None:
        """At frequency number `number`; None where strands do not lie in rings."""
        if not self.shares:
            return None
        sizes = [(np.abs(shares[number]), part) for shares, part in self.shares]
        least, most = (math.prod(float(end(size)) for size, _ in sizes) for end in (np.min, np.max))
        squared = math.prod(float(size**2 @ part) for size, part in sizes)
        return Rings(complex(self.excess[number]), tuple(self.shares[0][0][number].tolist()), least, most, squared)


def medium(strands: Strands, area: float, conductivity: float, frequency: complex) -> Medium:
    """The medium that strands are within an outline.

    Parameters
    ----------
    strands : Strands
    area : float
        Of the outline [m2].
    conductivity : float
        [S/m]
    frequency : float or complex
        [Hz]; see `strand_cell`.

    Notes
    -----
    Groups of groups are a packing of cylinders of the medium within, each level's share of the space told apart by
    `Strands.space`.

    Examples
    --------
    >>> found = medium(Strands(420, 1e-4), 6e-6, 58e6, 0.0)
    >>> round(found.resistance * 58e6 * 420 * 7.854e-9, 4)
    1.0
    """
    return mediums(strands, area, conductivity, np.array([frequency]))[0]


def mediums(strands: Strands, area: float, conductivity: float, frequency: Numbers) -> tuple[Medium, ...]:
    """The same at frequencies (m,)."""
    found, resting = media(strands, area, conductivity, frequency), strands.resistance(conductivity)
    permeability, impedance, exciting = found.permeability, found.impedance, found.exciting
    edge = np.zeros(len(frequency), dtype=complex)
    rows: list[Rows | None] = [None] * len(frequency)
    if not strands.given:
        softer, thicker = row_factors(strands, area, permeability, impedance, frequency)
        rows = [Rows(*own) for own in zip(permeability.tolist(), impedance.tolist(), strict=True)]
        permeability, impedance, exciting = permeability * softer, impedance * thicker, exciting / softer
        edge = places_edge(found.network, permeability, impedance, frequency)
    columns = (part.tolist() for part in (permeability, impedance, exciting, edge))
    return tuple(
        Medium(mu, z, resting, found.inductance, strands.lay, into, found.rings(number), rows[number], more)
        for number, (mu, z, into, more) in enumerate(zip(*columns, strict=True))
    )


def row_factors(
    strands: Strands, area: float, permeability: ComplexArray, impedance: ComplexArray, frequency: Numbers
) -> tuple[ComplexArray, ComplexArray]:
    """What multiplies permeability and impedance (m,) of strands that share as the field asks; see `smooth_rows`."""
    return smooth_rows(permeability, impedance * area, row_spacing(strands, area), frequency)


def row_spacing(strands: Strands, area: float) -> float:
    """From row to row of strands in an outline of some area [m]."""
    return math.sqrt(FLAT[strands.layout] * (strands.space or area / strands.count))


def media(strands: Strands, area: float, conductivity: float, frequency: Numbers) -> Media:
    """The media at frequencies (m,) [Hz]; see `medium`.

    Examples
    --------
    >>> media(Strands(420, 1e-4), 6e-6, 58e6, np.array([0.0, 1e4])).permeability.real.round(3).tolist()
    [1.0, 1.0]
    """
    groups, ringed = strands.levels[:-1], strands.ringed
    space, size = strands.space or area / strands.count, strands.count // math.prod(groups)
    fill, turning = strands.copper / (strands.count * space), 2j * math.pi * frequency * MU0
    permeability, own, exciting = strand_cells(fill, strands.diameter, conductivity, frequency, strands.layout)
    impedance, inductance = own * strands.take_up, inductance_at_rest(fill) * strands.take_up
    share = min(1.0, strands.count * space / area) ** (1 / max(len(groups), 1))
    filled, answers = fill, strained(strands.diameter, conductivity, frequency)
    excess = np.zeros(len(frequency), dtype=complex)
    shares: list[tuple[ComplexArray, FloatArray]] = []
    for k, count in enumerate((size, *reversed(groups))):
        if k:
            mixed = share * (permeability - 1) / (permeability + 1)
            within, permeability = permeability, (1 + mixed) / (1 - mixed)
            exciting = exciting * 2 * within / (1 + within) / (1 + mixed)
            impedance = impedance + turning / (4 * math.pi) * ((within - permeability) / 2 - math.log(share))
            inductance = inductance + inductance_at_rest(share)
            filled, answers = share, (within - 1) / (within + 1)
        impedance, inductance, excess = impedance / count, inductance / count, excess / count
        inward = count * impedance + turning / (4 * math.pi) * (math.log(filled) + permeability / 2)
        ladder = RingLadder(count, filled, inward, permeability, answers, turning)
        if ringed:
            whole, each = ladder.impedance(even=strands.lay == "transposed")
            more = whole - impedance - turning / (8 * math.pi) * permeability
            impedance, excess = impedance + more, excess + more
            inductance += ladder.inductance + MU0 / (8 * math.pi) * (1 / count - 1) - inductance_at_rest(filled) / count
            shares.insert(0, (each, ladder.share))
    if strands.edged:
        edge = lattice_edge(strands.count, strands.layout)
        beyond = inward / count + turning * edge.flux(fill, permeability, answers)
        impedance = beyond - turning / (8 * math.pi) * permeability
        inductance += MU0 * (edge.resting(fill) + (1 / count - 1) / (8 * math.pi)) - inductance_at_rest(fill) / count
    found = Media(permeability, impedance, exciting, inductance, excess, ladder, inward, shares=tuple(shares))
    return _at_their_places(found, strands, inward, answers, turning, fill) if strands.networked else found


def _at_their_places(
    media: Media, strands: Strands, inward: ComplexArray, answers: ComplexArray, turning: ComplexArray, fill: float
) -> Media:
    """The same with the network of straight strands."""
    straight, count = network(strands.count, strands.layout), strands.count
    answer = (media.permeability - 1) / (media.permeability + 1)
    more = MU0 * (straight.resting(fill) + (1 / count - 1) / (8 * math.pi)) - inductance_at_rest(fill) / count
    whole = straight.impedance(inward, answer, answers, turning, fill)
    return replace(media, network=whole, inductance=media.inductance + more)
