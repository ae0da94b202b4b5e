"""What of the figures is no more than the noise of computing it, and is shown as "none" instead of as a number."""

from __future__ import annotations

import math
from collections.abc import Sequence

from .answers import Answers, CircuitAnswer, ConductorAnswer
from .units import engineering, error_bar, together

NONE = "none"
LEAST_LOSS = 1e-12  # of all loss: the field's floor of 1e-6 (as of `probe_errors`), squared
LEAST_VOLTAGE = 1e-9  # of the largest
LEAST_FORCE = 5e-7  # [N/m]


def or_none(text: str, value: float, noise: float, none: str = NONE) -> str:
    """The text of a figure, or that for none where the figure is no more than its own noise.

    Examples
    --------
    >>> or_none("10.8 fW/m", 1.08e-14, 2e-12), or_none("2.00 W/m", 2.0, 0.01)
    ('none', '2.00 W/m')
    """
    return none if abs(value) <= noise else text


def figure(value: float | None, noise: float, unit: str, digits: int = 4, *, like: float | None = None) -> str:
    """A number as of `engineering`, "none" where it is no more than its noise.

    Examples
    --------
    >>> figure(1.5579e-3, 1e-9, "ohm/m"), figure(2e-9, 3e-9, "H/m"), figure(None, 0.0, "H/m")
    ('1.558 mohm/m', 'none', '-')
    """
    return "-" if value is None else or_none(engineering(value, unit, digits, like=like), value, noise)


def within(value: float | None, relative: float | None) -> float:
    """Noise of a figure whose bound is relative, in the figure's unit.

    Examples
    --------
    >>> within(-2.0, 0.25), within(None, None)
    (0.5, 0.0)
    """
    return abs(value or 0.0) * (relative or 0.0)


def with_bar(value: float | None, relative: float | None, unit: str) -> str:
    """A figure and its relative bound.

    Examples
    --------
    >>> with_bar(1.5e-3, 2e-5, "ohm/m"), with_bar(1.5e-3, 1.2, "ohm/m"), with_bar(1.5e-3, None, "ohm/m")
    ('1.500 mohm/m +- 0.002 %', 'none', '1.500 mohm/m')
    """
    text = figure(value, within(value, relative), unit)
    return text if text == NONE or relative is None else f"{text} +- {error_bar(relative).removeprefix('< ')}"


def bar_or_dash(relative: float | None) -> str:
    """A relative bound as text; none beside a figure that is none.

    Examples
    --------
    >>> bar_or_dash(2e-5), bar_or_dash(1.7), bar_or_dash(None)
    ('0.002 %', '-', '-')
    """
    return "-" if relative is None or relative >= 1 else error_bar(relative)


def column(values: Sequence[float | None], noises: Sequence[float], unit: str, digits: int = 4) -> list[str]:
    """The numbers of one column as of `together`, "none" where they are no more than their noise.

    Examples
    --------
    >>> column([900.0, 1e-14, 1250.0], [1.0, 1e-12, 1.0], "W/m")
    ['0.9000 kW/m', 'none', '1.250 kW/m']
    """
    pairs = list(zip(values, noises, strict=True))
    texts = together([None if v is None or abs(v) <= noise else v for v, noise in pairs], unit, digits)
    return [text if v is None else or_none(text, v, noise) for (v, noise), text in zip(pairs, texts, strict=True)]


def loss_noise(c: ConductorAnswer, found: Answers) -> float:
    """Of a conductor's loss: its own bar, and a floor [W/m]."""
    return max(c.loss * c.loss_error, LEAST_LOSS * found.total_loss)


def terminal_noise(c: CircuitAnswer, found: Answers) -> float:
    """Of a circuit's terminal power, likewise [W/m]."""
    return max(abs(c.loss) * (c.resistance_error or 0.0), LEAST_LOSS * found.total_loss)


def own_noise(c: CircuitAnswer, found: Answers) -> float:
    """Of the loss in a circuit's own conductors, likewise [W/m]."""
    return max(c.own_loss * c.own_loss_error, LEAST_LOSS * found.total_loss)


def voltage_noise(c: CircuitAnswer, found: Answers) -> float:
    """Of a circuit's voltage: its bar, and a floor [V/m]."""
    return max(c.voltage_error, LEAST_VOLTAGE * max(abs(other.voltage) for other in found.circuits.values()))


def density_noise(c: ConductorAnswer, found: Answers) -> float:
    """Of a conductor's current densities: without end where its loss is none [A/m2]."""
    return math.inf if c.loss <= loss_noise(c, found) else 0.0


def flows(c: ConductorAnswer, found: Answers) -> str:
    """Where the current of a conductor flows; nothing where its loss is none."""
    return or_none(c.sentence, c.loss, loss_noise(c, found), "carries no current")


def force_noise(c: ConductorAnswer) -> float:
    """Of either component of a conductor's force: its bar, and a floor [N/m]."""
    return max(c.force_error, LEAST_FORCE)


def resistance_noise(c: CircuitAnswer) -> float:
    """Of a circuit's resistance at its terminals [ohm/m]."""
    return within(c.resistance, c.resistance_error)


def own_resistance_noise(c: CircuitAnswer) -> float:
    """Of the resistance of a circuit's own conductors [ohm/m]."""
    return within(c.own_resistance, c.own_resistance_error)


def inductance_noise(c: CircuitAnswer) -> float:
    """Of a circuit's inductance [H/m]."""
    return within(c.inductance, c.inductance_error)


def reactance_noise(c: CircuitAnswer) -> float:
    """Of a circuit's reactance, whose bound is that of its inductance [ohm/m]."""
    return within(c.reactance, c.inductance_error)
