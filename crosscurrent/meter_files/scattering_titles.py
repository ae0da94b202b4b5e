"""Titles of columns that hold a scattering parameter: of which ports, and which part of it."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Literal

from .titles import plain_title

Part = Literal["real", "imaginary", "magnitude", "angle"]
_PLACE = re.compile(r"(?<![a-z])s[ _]?\(?([12])[ ,;_]?([12])\)?(?!\d)")
_WORDS: dict[Part, frozenset[str]] = {
    "real": frozenset({"re", "real", "realpart"}),
    "imaginary": frozenset({"im", "imag", "imaginary", "imagpart"}),
    "angle": frozenset(
        {"phase", "pha", "ph", "ang", "angle", "arg", "deg", "degree", "degrees", "rad", "radian", "radians"}
    ),
    "magnitude": frozenset({"db", "logmag", "log", "mag", "magnitude", "abs", "mod", "lin", "linear", "linmag"}),
}
_UNITS = {"deg": "deg", "degree": "deg", "degrees": "deg", "rad": "rad", "radian": "rad", "radians": "rad", "db": "dB",
          "logmag": "dB", "log": "dB", "lin": "1", "linear": "1", "linmag": "1"}  # fmt: skip


@dataclass(frozen=True)
class ScatteringTitle:
    """A column of a scattering parameter.

    Attributes
    ----------
    text : str
        As written.
    place : str
        "S11" to "S22".
    part : Part or None
        None: it does not say.
    unit : str or None
        Of a magnitude "dB" or "1", of an angle "deg" or "rad"; None: it does not say.
    """

    text: str
    place: str
    part: Part | None
    unit: str | None = None

    @property
    def words(self) -> str:
        """What it was taken for."""
        what = self.part if self.part in ("magnitude", "angle") else f"{self.part} part"
        return f"{what} of {self.place}" + (f" [{self.unit}]" if self.unit in ("dB", "deg", "rad") else "")


def scattering_title(text: str) -> ScatteringTitle | None:
    """What a title says; None of any other quantity.

    Examples
    --------
    >>> scattering_title("S11 Log Mag (dB)").words, scattering_title("re:Trc1_S21").words, scattering_title("Rs [ohm]")
    ('magnitude of S11 [dB]', 'real part of S21', None)
    """
    plain = plain_title(text).lower()
    place = _PLACE.search(plain)
    if place is None:
        return None
    rest = plain[: place.start()] + " " + plain[place.end() :]
    words = re.findall(r"[a-z]+", rest)
    part = next((one for one, known in _WORDS.items() if known & set(words)), None)
    if part is None and rest.count("|") == 2:
        part = "magnitude"
    unit = next((_UNITS[word] for word in words if word in _UNITS), None) if part in ("magnitude", "angle") else None
    return ScatteringTitle(text.strip(), f"S{place[1]}{place[2]}", part, unit)
