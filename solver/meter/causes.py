"""Physical causes that make a measured impedance differ from the calculated one, each with its shape over frequency.

Every cause turns an impedance of the whole run into another. They act one after the other, from the section outwards:
dimensions and coats, surfaces, all metals alike (the run with its surfaces at another frequency), what lies in series
or nearby, what lies across it, what the meter makes of it.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Literal

import numpy as np

from crosscurrent.geometries.arrays import ComplexArray, FloatArray

Stage = Literal["section", "surface", "metal", "series", "shunt", "meter", "offset"]
STAGES: tuple[Stage, ...] = ("section", "surface", "metal", "series", "shunt", "meter", "offset")
Effect = Callable[[ComplexArray, FloatArray], ComplexArray]
Beside = Callable[[Mapping[str, float]], "PhysicalCause | None"]  # amounts of the section -> a cause beside them

CONTACT, LEADS, CAPACITANCE, SCALE = "contact", "leads", "capacitance", "scale"
NEIGHBOUR, STEEL = "neighbour", "steel"
FLOOR, OFFSET, FLOOR_NAME = "floor", "offset", "floor of the meter"  # one that is stated, one that is not
OF_RESISTANCE, JOINT = 0.2, 2e-5  # usual series resistance: over the smallest that is calculated, and at least [ohm]
OF_INDUCTANCE, LOOP = 0.1, 3e-8  # usual series inductance: over the smallest that is calculated, and at least [H]
OF_METER = 0.02  # usual error of a length, or of a meter that was not calibrated
OF_LEAST = 0.05  # usual offset of a meter whose floor is not stated: over the least impedance that it showed
MOST_OF_LEAST = 0.5  # and the most: what a meter hardly resolves is not measured with it
SHUNT = 0.05  # usual w^2 L C at the highest frequency
OUTSIDE = 3.0  # how far beyond the band the corner of a neighbour may lie; further out it has no shape of its own
STEEL_BAND = (0.1, 0.3)  # of the ends of the band: within which steel must have its corner
LOOSE, LOOSER = 0.04, 0.06  # share of what a neighbour does that its two numbers do not hold, and of steel
RARE = 2.0  # price of steel beside other metals, whose shape is freer
AGAINST = 1.2  # most of what steel drew in that it pushes out
SHARP, BLUNT = 1.1, 0.4  # exponent of a neighbour: a thin ring of metal has one pole, a thick wall the root of it
STEEL_POWERS = (0.25, 0.55)  # a half space has the root, a sheet of many widths less


@dataclass(frozen=True)
class Parameter:
    """One number of a cause, counted from "not there": p = 0.

    Attributes
    ----------
    name : str
    unit : str
        Of the amount, in SI units.
    width : float
        Usual size of p: one standard deviation before anything was measured.
    lower, upper : float
        Physical bounds of p.
    starts : tuple of float
        Where a fit begins.
    nominal : float
        The amount at p = 0.
    logarithmic : bool
        The amount is nominal exp(p); else nominal + p.
    """

    name: str
    unit: str
    width: float
    lower: float
    upper: float
    starts: tuple[float, ...]
    nominal: float = 0.0
    logarithmic: bool = False

    def amount(self, p: float) -> float:
        """In its own unit.

        Examples
        --------
        >>> gap = Parameter("gap", "m", 0.1, -1.0, 1.0, (0.0,), nominal=1e-3, logarithmic=True)
        >>> round(gap.amount(0.0953), 6)
        0.0011
        """
        return float(self.nominal * np.exp(p)) if self.logarithmic else self.nominal + p

    def error(self, p: float, wrong: float) -> float:
        """Uncertainty of the amount from that of p."""
        return abs(self.amount(p)) * wrong if self.logarithmic else wrong


@dataclass(frozen=True, eq=False)
class PhysicalCause:
    """A cause of a difference.

    Attributes
    ----------
    key : str
    name : str
        As a sentence names it.
    stage : Stage
    parameters : tuple of Parameter
        The first is its amount, the others say what shape it has.
    effect : callable
        From the impedance of the whole run [ohm], (m,), and p to that with the cause.
    alike : tuple of PhysicalCause
        Others that no measurement in this band can tell from it.
    loose : float
        Share of what it adds that its shape may be off.
    rare : float
        How much less likely it is than others before anything was measured, in the logarithm.
    beneath : bool
        Whether it is a metal or a coat, so that what roughness adds is known less well beside it.
    beside : callable or None
        The same cause where figures of the section are known to be other than stated, by key; None of one that does
        not ask.
    known : frozenset of str
        Those figures.
    """

    key: str
    name: str
    stage: Stage
    parameters: tuple[Parameter, ...]
    effect: Effect
    alike: tuple[PhysicalCause, ...] = ()
    loose: float = 0.0
    rare: float = 0.0
    beneath: bool = False
    beside: Beside | None = None
    known: frozenset[str] = frozenset()


def outside_causes(
    frequencies: FloatArray, calculated: ComplexArray, band: tuple[float, float],
    reach: ComplexArray | None, allowed: float = 0.0,
) -> tuple[PhysicalCause, ...]:
    """Every cause that does not lie in the section itself.

    Parameters
    ----------
    frequencies : (m,) float
        [Hz], above 0.
    calculated : (m,) complex
        Impedance of the whole run [ohm].
    band : (float, float)
        Lowest and highest frequency that was measured [Hz].
    reach : (m,) complex or None
        How the square of the field outside goes with frequency; None where there is none, so that nothing nearby acts.
    allowed : float
        For joints, in the calculated impedance no less than in the reading [ohm].
    """
    omega = 2 * np.pi * frequencies
    least, inductance = float(calculated.real.min()), float((calculated.imag / omega).min())
    within = (
        contact(OF_RESISTANCE * least + JOINT, 30 * least + 100 * JOINT, allowed),
        leads(omega, OF_INDUCTANCE * inductance + LOOP, 10 * inductance + 100 * LOOP),
        capacitance(omega, SHUNT / ((2 * np.pi * band[1]) ** 2 * inductance)),
        scale(),
    )
    if reach is None:
        return within
    return (
        *within,
        neighbour(frequencies, band, reach, OF_INDUCTANCE * inductance, 0.9 * inductance),
        steel(frequencies, band, reach, OF_INDUCTANCE * inductance, 5 * inductance),
    )


def contact(usual: float, most: float, allowed: float = 0.0) -> PhysicalCause:
    """Joints or leads: one resistance in series at all frequencies, beside what is allowed for.

    Examples
    --------
    >>> contact(1e-5, 1e-3).effect(np.array([1e-4 + 1j]), np.array([2e-5])).real.round(7).tolist()
    [0.00012]
    """
    one = Parameter("series resistance", "ohm", usual, -allowed, most, (0.0,), nominal=allowed)
    return PhysicalCause(CONTACT, one.name, "series", (one,), lambda z, p: z + p[0])


def leads(omega: FloatArray, usual: float, most: float) -> PhysicalCause:
    """Leads or a loop at the ends: one inductance in series at all frequencies."""
    one = Parameter("series inductance", "H", usual, 0.0, most, (0.0,))
    return PhysicalCause(LEADS, one.name, "series", (one,), lambda z, p: z + 1j * omega * p[0])


def capacitance(omega: FloatArray, usual: float) -> PhysicalCause:
    """Across the terminals: Z / (1 + j w C Z), exactly, so that both R and L turn up towards the resonance.

    Examples
    --------
    >>> shunt = capacitance(np.array([1e6]), 1e-12)
    >>> shunt.effect(np.array([1 + 1000j]), np.array([1e-10])).round(2).tolist()
    [(1.23+1111.11j)]
    """
    one = Parameter("parallel capacitance", "F", usual, 0.0, 1e3 * usual, (0.0, usual))
    return PhysicalCause(CAPACITANCE, one.name, "shunt", (one,), lambda z, p: z / (1 + 1j * omega * p[0] * z))


def scale() -> PhysicalCause:
    """All of it in one proportion: the run is longer than stated, or the meter was not calibrated."""
    one = Parameter("scale", "", OF_METER, -0.5, 1.0, (0.0,), nominal=1.0)
    return PhysicalCause(SCALE, "scale of the whole reading", "meter", (one,), lambda z, p: z * (1 + p[0]))


def offset(least: float) -> PhysicalCause:
    """The floor of a meter, where it is not stated: R and X at all frequencies are off by as much each.

    Below what it resolves a meter shows its own offset: R and L run off where the impedance is small, L as 1 / f.

    Parameters
    ----------
    least : float
        Impedance that was measured [ohm].

    Examples
    --------
    >>> offset(1e-3).effect(np.array([1e-3 + 1e-3j]), np.array([1e-5, -2e-5])).round(7).tolist()
    [(0.00101+0.00098j)]
    """
    parts = tuple(
        Parameter(f"offset in {letter}", "ohm", OF_LEAST * least, -MOST_OF_LEAST * least, MOST_OF_LEAST * least, (0.0,))
        for letter in "RX"
    )
    return PhysicalCause(OFFSET, FLOOR_NAME, "offset", parts, lambda z, p: z + p[0] + 1j * p[1])


def neighbour(
    frequencies: FloatArray, band: tuple[float, float], reach: ComplexArray, usual: float, most: float
) -> PhysicalCause:
    """Metal nearby that is not in the section: eddy currents in it push flux out of the loop.

    It takes j w A (1 - (1 + j f / corner)^-n) away: R grows with f^2 and then with the root of f (n = 1/2, a wall
    thicker than the skin) or stays (n = 1, the one pole of a thin ring); L falls by A in all. All of it goes with how
    far the field of the run reaches, squared.
    """
    omega, (amount, corner, power) = 2 * np.pi * frequencies, _near(
        "inductance pushed out", usual, most, (band[0] / OUTSIDE, band[1] * OUTSIDE), (BLUNT, SHARP)
    )  # fmt: skip

    def effect(z: ComplexArray, p: FloatArray) -> ComplexArray:
        left = (1 + 1j * frequencies / np.exp(p[1])) ** -p[2]
        return np.asarray(z - 1j * omega * reach * p[0] * (1 - left))

    return PhysicalCause(NEIGHBOUR, "metal nearby", "series", (amount, corner, power), effect, loose=LOOSE)


def steel(
    frequencies: FloatArray, band: tuple[float, float], reach: ComplexArray, usual: float, most: float
) -> PhysicalCause:
    """Steel nearby: it draws flux at low frequency, A in all, and pushes a share of that out as its skin grows thin.

    Of a permeable half space below a current the image goes from one like it to one against it, over the corner at
    which the skin times the permeability is as large as the distance.
    """
    omega, (amount, corner, power) = 2 * np.pi * frequencies, _near(
        "inductance drawn in", usual, most, (STEEL_BAND[0] * band[0], STEEL_BAND[1] * band[1]), STEEL_POWERS
    )  # fmt: skip
    against = Parameter("share pushed out", "", AGAINST / np.sqrt(12), 0.0, AGAINST, (0.3,))

    def effect(z: ComplexArray, p: FloatArray) -> ComplexArray:
        left = 1 / (1 + (1j * frequencies / np.exp(p[1])) ** p[2])
        return np.asarray(z + 1j * omega * reach * p[0] * (left - p[3] * (1 - left)))

    all_of_it = (amount, corner, power, against)
    return PhysicalCause(STEEL, "steel nearby", "series", all_of_it, effect, loose=LOOSER, rare=RARE)


def _near(
    name: str, usual: float, most: float, corners: tuple[float, float], powers: tuple[float, float]
) -> tuple[Parameter, ...]:
    (low, high), (blunt, sharp) = np.log(corners), powers
    starts = tuple(float(s) for s in np.linspace(low, high, 7)[1:-1])
    return (
        Parameter(name, "H", usual, 0.0, most, (usual,)),
        Parameter("corner", "Hz", float(high - low) / np.sqrt(12), float(low), float(high), starts, 1.0, True),
        Parameter("exponent", "", (sharp - blunt) / np.sqrt(12), blunt, sharp, ((blunt + sharp) / 2,)),
    )
