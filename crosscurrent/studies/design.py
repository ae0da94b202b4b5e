"""One design of a study: what was varied and what came of it, small enough to be sent and kept by the thousand."""

from __future__ import annotations

import struct
from collections.abc import Mapping
from dataclasses import dataclass

from crosscurrent.geometries.fixed import Fixed

Value = float | int | str


@dataclass(frozen=True)
class Design:
    """What one design of a study came to.

    Parameters
    ----------
    key : str
        SHA-256 in hexadecimal of what makes the design: the case without what varies, and the values.
    values : mapping of str to float, int or str
        What was varied, by name, in SI units; alternatives by their names.
    figures : mapping of str to float
        What is wanted and further figures, by names with units ("loss_w_per_m").
    errors : mapping of str to float
        Absolute error bars of the figures.
    slopes : mapping of str to mapping of str to float
        By figure and varied name: change of the figure per SI unit of the value.
    margins : mapping of str to float
        By limit: figure over limit minus 1, positive where it is broken.
    verdict : str
        "pass", "fail", "cannot tell" or "none stated".
    fault : str
        Why it has no figures; empty where it has.
    seconds : float
        Time it took [s].

    Examples
    --------
    >>> nothing = dict(errors={}, slopes={}, margins={}, verdict="none stated")
    >>> design = Design("a1", values={"gap": 0.001}, figures={"loss_w_per_m": 90.5}, **nothing)
    >>> design.figures["loss_w_per_m"], design.fault
    (90.5, '')
    >>> design.values["gap"] = 0.002
    Traceback (most recent call last):
    ...
    TypeError: 'Fixed' object does not support item assignment
    """

    key: str
    values: Mapping[str, Value]
    figures: Mapping[str, float]
    errors: Mapping[str, float]
    slopes: Mapping[str, Mapping[str, float]]
    margins: Mapping[str, float]
    verdict: str
    fault: str = ""
    seconds: float = 0.0

    def __post_init__(self) -> None:
        for name in ("values", "figures", "errors", "margins"):
            object.__setattr__(self, name, Fixed(getattr(self, name)))
        slopes = {figure: Fixed(by_name) for figure, by_name in self.slopes.items()}
        object.__setattr__(self, "slopes", Fixed(slopes))


def place(values: Mapping[str, Value]) -> str:
    """A text by whose order designs are in that of what was varied: name by name, numbers by size, then words.

    Examples
    --------
    >>> varied = [{"metal": "copper", "gap": gap} for gap in (2, -1e3, 0.5, 1e300)] + [{"metal": "brass", "gap": 9.0}]
    >>> [(one["metal"], one["gap"]) for one in sorted(varied, key=place)]
    [('brass', 9.0), ('copper', -1000.0), ('copper', 0.5), ('copper', 2), ('copper', 1e+300)]
    """
    return "\1".join(f"{name}\0{_by_size(value)}" for name, value in values.items())


def _by_size(value: Value) -> str:
    if isinstance(value, str):
        return f"words {value}"
    (bits,) = struct.unpack(">Q", struct.pack(">d", value + 0.0))
    return f"number {bits ^ (2**64 - 1 if bits >> 63 else 2**63):016x}"
