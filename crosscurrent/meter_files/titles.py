"""Titles of columns: which quantity they name, in which unit."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from crosscurrent.solver.meter.equivalents import Quantity

Kind = Literal["f", "R", "X", "L", "Z", "phase", "Q", "D"]
Lay = Literal["s", "p", ""]  # equivalent in series, in parallel, not said

_DEGREE = 0.017453292519943295
UNITS: Mapping[Kind, Mapping[str, float]] = {
    "f": {"Hz": 1.0, "kHz": 1e3, "MHz": 1e6, "GHz": 1e9},
    "R": {"ohm": 1.0, "mohm": 1e-3, "uohm": 1e-6, "nohm": 1e-9, "kohm": 1e3, "Mohm": 1e6},
    "L": {"H": 1.0, "mH": 1e-3, "uH": 1e-6, "nH": 1e-9, "pH": 1e-12},
    "phase": {"deg": _DEGREE, "rad": 1.0, "mrad": 1e-3},
    "Q": {"": 1.0, "%": 1e-2},
}
_LIKE: Mapping[Kind, Kind] = {"X": "R", "Z": "R", "D": "Q"}
BASE: Mapping[Kind, str] = {"f": "Hz", "R": "ohm", "X": "ohm", "Z": "ohm", "L": "H", "phase": "", "Q": "", "D": ""}
NOUNS: Mapping[Kind, str] = {
    "f": "frequency",
    "R": "resistance",
    "X": "reactance",
    "L": "inductance",
    "Z": "magnitude of the impedance",
    "phase": "phase",
    "Q": "quality Q",
    "D": "dissipation D",
}
_WORDS: Mapping[Kind, str] = {
    "f": "f freq frequency frequenz",
    "R": "r resistance re(z) rez real realz zreal res",
    "X": "x reactance im(z) imz imag imagz zimag",
    "L": "l inductance ind",
    "Z": "z |z| zmag magz mag(z) magnitude zmagnitude impedance modz abs(z) absz impedancemagnitude",
    "phase": "phase theta \u03b8 phi \u03c6 \u03c6z \u03b8z phaseangle thetaz arg(z) argz angle ph th phasez",
    "Q": "q quality qualityfactor qfactor",
    "D": "d df tand tan\u03b4 tandelta dissipation dissipationfactor lossfactor",
}
_KINDS: Mapping[str, Kind] = {word: kind for kind, words in _WORDS.items() for word in words.split()}
_SIDES: Mapping[str, Lay] = {"s": "s", "ser": "s", "series": "s", "p": "p", "par": "p", "parallel": "p"}
_LAID: Mapping[str, tuple[Kind, Lay]] = {
    joined: (kind, side)
    for word, kind in _KINDS.items()
    if kind in ("R", "X", "L")
    for said, side in _SIDES.items()
    for joined in (word + said, said + word)
} | {"esr": ("R", "s"), "esl": ("L", "s")}
_SIGNS = str.maketrans(
    {"\u00b5": "u", "\u03bc": "u", "\u03a9": "ohm", "\u2126": "ohm", "\u00b0": "deg", "\u2220": "", "\ufffd": ""}
)
_OHMS = re.compile(r"(?P<prefix>[mMukKn]?) ?ohms?", re.IGNORECASE)
_SPELLED = {"degree": "deg", "degrees": "deg", "radian": "rad", "radians": "rad", "1": "", "-": "", "none": ""}


@dataclass(frozen=True)
class Title:
    """A column.

    Attributes
    ----------
    text : str
        As written.
    kind : Kind or None
        None: nothing that is known.
    lay : Lay
    unit : str or None
        None: none is written; with several readings in `either` the first.
    either : tuple of str
        Units that the spelling does not tell apart.
    """

    text: str
    kind: Kind | None
    lay: Lay = ""
    unit: str | None = None
    either: tuple[str, ...] = ()

    def worth(self) -> float:
        """Of one unit of the column [Hz, ohm, H, rad or 1]; that of the base unit where none is written."""
        assert self.kind is not None
        return units_of(self.kind)[self.unit if self.unit is not None else BASE[self.kind]]

    @property
    def quantity(self) -> Quantity:
        """As conversions call it; what is not said is in series."""
        assert self.kind is not None
        assert self.kind != "f"
        return f"{self.kind}{self.lay or 's'}" if self.kind in ("R", "X", "L") else self.kind  # type: ignore[return-value]

    @property
    def words(self) -> str:
        """What it was taken for."""
        assert self.kind is not None
        side = {"s": "series ", "p": "parallel ", "": ""}[self.lay]
        unit = self.unit if self.unit is not None else BASE[self.kind]
        return f"{side}{NOUNS[self.kind]}" + (f" [{unit}]" if unit else "")


def units_of(kind: Kind) -> Mapping[str, float]:
    """The units of a quantity and their worth."""
    return UNITS[_LIKE.get(kind, kind)]


def title_of(text: str) -> Title:
    """What a title says.

    Examples
    --------
    >>> one = title_of("Ls (µH)")
    >>> one.kind, one.lay, one.unit, title_of("f/kHz").unit, title_of("|Z|").kind, title_of("Trace A").kind
    ('L', 's', 'uH', 'kHz', 'Z', None)
    >>> title_of("R [MOHM]").either
    ('mohm', 'Mohm')
    """
    plain = plain_title(text)
    for name, unit in _splits(plain):
        found = _KINDS.get(_joined(name)), ""
        kind, lay = _LAID.get(_joined(name), found)
        if kind is None:
            continue
        if unit is None:
            return Title(text.strip(), kind, lay)  # type: ignore[arg-type]
        if known := _unit(unit, kind):
            return Title(text.strip(), kind, lay, known[0], known if len(known) > 1 else ())  # type: ignore[arg-type]
    return Title(text.strip(), None)


def plain_title(text: str) -> str:
    """In letters of ASCII, without quotes and double spaces."""
    return " ".join(text.translate(_SIGNS).strip(" \"'#").split())


def is_unit(text: str) -> bool:
    """Whether a cell holds nothing but a unit."""
    plain = text.translate(_SIGNS).strip(" []()\"'")
    return any(_unit(plain, kind) for kind in UNITS)


def _splits(plain: str) -> list[tuple[str, str | None]]:
    """Ways to part a title into name and unit."""
    ways: list[tuple[str, str | None]] = [(plain, None)]
    for pattern in (r"(.+?) ?[\[(]([^\[\]()]*)[\])]", r"(.+?) ?/ ?([^/]+)", r"(.+?)[ _,:-]+(?:in )?([^ _,-]+)"):
        if match := re.fullmatch(pattern, plain):
            ways.append((match[1], match[2]))
    return ways


def _joined(name: str) -> str:
    return re.sub(r"[\s_.,:\-]", "", name.lower())


def _unit(text: str, kind: Kind) -> tuple[str, ...]:
    """The unit it spells, or both that it may; none if it is no unit of that quantity."""
    known, plain = units_of(kind), text.strip()
    plain = _SPELLED.get(plain.lower(), plain)
    if ohms := _OHMS.fullmatch(plain):
        shouted = plain.isupper() and ohms["prefix"] == "M"
        plain = f"{ohms['prefix'].replace('K', 'k').replace('U', 'u')}ohm"
        return ("mohm", "Mohm") if shouted and "mohm" in known else (plain,) if plain in known else ()
    if plain in known:
        return (plain,)
    if plain == "MH" and kind == "L":
        return ("mH",)  # nobody measures megahenries
    if kind == "R":
        return ()
    return next(((unit,) for unit in known if unit and unit.lower() == plain.lower()), ())
