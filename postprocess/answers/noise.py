"""What of the figures of one frequency is no more than noise, and is shown as "none" instead of as a number."""

from __future__ import annotations

from collections.abc import Sequence

from .answers import Answers, CircuitAnswer, ConductorAnswer
from .units import together

NONE = "none"
LEAST_LOSS = 1e-12  # of all loss: the field's floor of 1e-6 (as of `probe_errors`), squared
LEAST_VOLTAGE = 1e-9  # of the largest


def or_none(text: str, value: float, noise: float, none: str = NONE) -> str:
    """The text of a figure, or that for none where the figure is no more than its own noise.

    Examples
    --------
    >>> or_none("10.8 fW/m", 1.08e-14, 2e-12), or_none("2.00 W/m", 2.0, 0.01)
    ('none', '2.00 W/m')
    """
    return none if abs(value) <= noise else text


def column(values: Sequence[float], noises: Sequence[float], unit: str, digits: int = 4) -> list[str]:
    """The numbers of one column as of `together`, "none" where they are no more than their noise.

    Examples
    --------
    >>> column([900.0, 1e-14, 1250.0], [1.0, 1e-12, 1.0], "W/m")
    ['0.9000 kW/m', 'none', '1.250 kW/m']
    """
    known = [None if abs(value) <= noise else value for value, noise in zip(values, noises, strict=True)]
    texts = together(known, unit, digits)
    return [NONE if value is None else text for value, text in zip(known, texts, strict=True)]


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
