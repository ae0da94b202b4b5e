"""Many fine strands as one medium: the complex permeability of their packing and the impedance of each inside it."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache
from typing import Any, Literal

import numpy as np
import numpy.typing as npt

from crosscurrent.geometries.arrays import ComplexArray, FloatArray

from .depth import MU0

Numbers = npt.NDArray[Any]  # real or complex
Layout = Literal["hexagonal", "square"]
Lay = Literal["transposed", "concentric", "straight"]
DENSEST = {"hexagonal": math.pi / (2 * math.sqrt(3)), "square": math.pi / 4}  # share of round strands that touch
POLES = 12  # orders of the strands' fields; the truncation changes mu by less than 1e-9 up to a filling of 0.9


@dataclass(frozen=True)
class Strands:
    """The strands that fill the outline of a conductor.

    Parameters
    ----------
    count : int
    diameter : float
        Of the bare strand [m].
    layout : "hexagonal" or "square"
    lay : "transposed", "concentric" or "straight"
        Transposed: every strand the same current, its place within the bundle changes along the run. Concentric: each
        keeps its distance from the middle, the strands of one ring share evenly. Straight: parallel all the way.
    take_up : float
        Length of a strand over that of the bundle.
    levels : tuple of int
        Groups of groups, the outermost first: (5, 84) is five groups of 84 strands; () or (n,) one group.
    space : float, optional
        Area that a strand has within its innermost group [m2]; else all of the outline is shared evenly.
    """

    count: int
    diameter: float
    layout: Layout = "hexagonal"
    lay: Lay = "transposed"
    take_up: float = 1.0
    levels: tuple[int, ...] = ()
    space: float | None = None

    @property
    def copper(self) -> float:
        """Metal across the run [m2]; strands that lie askew have more of it."""
        return self.count * self.take_up * math.pi / 4 * self.diameter**2

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
        impedance[on] = resting * z / 2 / _ratios(z, 0)[0] + turning * MU0 / (4 * math.pi) * seen
    return permeability, impedance, exciting


def skin_factor(diameter: float, conductivity: float, frequency: float) -> float:
    """Resistance of a round strand alone over that to direct current: Bessel's solution, any textbook.

    Examples
    --------
    >>> skin_factor(1e-3, 58e6, 0.0), round(skin_factor(1e-3, 58e6, 1e6), 3)
    (1.0, 4.045)
    """
    z = _in_skins(diameter, conductivity, frequency)
    return float((z / 2 / bessel_ratio(z)).real) if z else 1.0


def surface_densities(diameter: float, conductivity: float, frequency: float) -> tuple[complex, complex]:
    """Density at the surface of a round strand: for 1 A of its own [A/m2], and the largest for 1 T across it.

    Bessel's solutions for a wire and for a cylinder across an even alternating field (any textbook).

    Examples
    --------
    At low frequency the current fills the strand, and the field induces w sigma B times the radius:

    >>> own, across = surface_densities(1e-4, 58e6, 1e3)
    >>> round(own.real * 1e-6), round(abs(across) / (2 * math.pi * 1e3 * 58e6 * 0.5e-4), 3)
    (127, 1.0)
    """
    z, radius = _in_skins(diameter, conductivity, frequency), diameter / 2
    if not z:
        return 1 / (math.pi * radius**2) + 0j, 0j
    ratio = bessel_ratio(z)
    turning = 2j * math.pi * frequency * conductivity
    return complex(z / ratio / (2 * math.pi * radius**2)), complex(2 * radius * turning * ratio / z)


def _in_skins(diameter: float, conductivity: float, frequency: float) -> complex:
    """Radius of a strand in skin depths, times 1 + j."""
    return complex((1 + 1j) * diameter / 2 * math.sqrt(math.pi * frequency * MU0 * conductivity))


def inductance_at_rest(fill: float) -> float:
    """What a strand has beyond the field of the medium at 0 Hz [H/m]: the slope of its impedance by j w."""
    return -MU0 / (4 * math.pi) * math.log(fill)


def _permeability(fill: float, z: ComplexArray, layout: Layout) -> tuple[ComplexArray, ComplexArray]:
    """Of the medium, and the field around a strand over its mean flux density."""
    step = 2 if layout == "square" else 6
    orders = np.array([n for n in range(1, 6 * POLES) if n % step in (1, step - 1)][:POLES])
    ratio = _ratios(z, int(orders[-1]) + 1)
    scattered = -ratio[orders] * ratio[orders - 1]  # -I(n+1) / I(n-1)
    radius = math.sqrt(fill / math.pi * (1 if layout == "square" else math.sqrt(3) / 2))  # over the pitch
    degrees = orders[:, None] + orders
    sums = _lattice_sums(layout, int(degrees.max()))[degrees]
    ways = np.array([[math.comb(int(n + m - 1), int(n)) for m in orders] for n in orders], dtype=float)
    system = np.eye(POLES) + ways * sums * radius**degrees * scattered.T[:, None]
    first = np.linalg.solve(system, np.eye(POLES)[:, :1])[:, 0, 0]
    turned = fill * scattered[0] * first
    return np.asarray((1 + turned) / (1 - turned)), np.asarray(first / (1 + turned))


def bessel_ratio(z: complex) -> complex:
    """I1(z) / I0(z)."""
    return complex(_ratios(np.array([z]), 0)[0, 0])


def _ratios(z: ComplexArray, highest: int) -> ComplexArray:
    """I(n+1) / I(n) at z (m,), (highest + 1, m), by the recurrence downwards, which no small or large z upsets."""
    start = highest + 30 + int(2 * np.abs(z).max())
    found = np.zeros((start + 1, len(z)), dtype=complex)
    for n in range(start, 0, -1):
        found[n - 1] = 1 / (2 * n / z + found[n])
    return found[: highest + 1]


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
    """

    permeability: complex
    impedance: complex
    resistance: float
    inductance: float
    lay: Lay
    exciting: complex = 1.0

    @property
    def given(self) -> bool:
        """Whether the lay spreads the current, not the field within the bundle."""
        return self.lay != "straight"

    @property
    def conducting(self) -> complex:
        """J over E of the field, over the conductivity at rest."""
        return 1.0 if self.given else self.resistance / self.impedance

    @property
    def heating(self) -> complex:
        """Complex power of the current over what it would be at rest: sigma |E|^2 with J = sigma E."""
        return self.impedance / self.resistance if self.given else (self.resistance / self.impedance).conjugate()


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
    permeability, impedance, exciting, inductance = media(strands, area, conductivity, np.array([frequency]))
    return Medium(
        complex(permeability[0]), complex(impedance[0]), strands.resistance(conductivity), inductance, strands.lay,
        complex(exciting[0]),
    )  # fmt: skip


def media(
    strands: Strands, area: float, conductivity: float, frequency: Numbers
) -> tuple[ComplexArray, ComplexArray, ComplexArray, float]:
    """Permeability, impedance and exciting field at frequencies (m,), each (m,), and the inductance at rest.

    Examples
    --------
    >>> media(Strands(420, 1e-4), 6e-6, 58e6, np.array([0.0, 1e4]))[0].real.round(3).tolist()
    [1.0, 1.0]
    """
    groups = strands.levels[:-1]
    number = math.prod(groups)
    space = strands.space or area / strands.count
    fill, size = strands.copper / (strands.count * space), strands.count // number
    permeability, own, exciting = strand_cells(fill, strands.diameter, conductivity, frequency, strands.layout)
    impedance, inductance = own * strands.take_up / size, inductance_at_rest(fill) * strands.take_up / size
    share = min(1.0, strands.count * space / area) ** (1 / max(len(groups), 1))
    turning = 2j * math.pi * frequency * MU0 / (4 * math.pi)
    for count in reversed(groups):
        mixed = share * (permeability - 1) / (permeability + 1)
        within, permeability = permeability, (1 + mixed) / (1 - mixed)
        exciting = exciting * 2 * within / (1 + within) / (1 + mixed)
        impedance = (impedance + turning * ((within - permeability) / 2 - math.log(share))) / count
        inductance = (inductance + inductance_at_rest(share)) / count
    return permeability, impedance, exciting, inductance
