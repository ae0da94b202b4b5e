"""A magnetisation curve as a data sheet gives it: a table of field strengths and flux densities."""

from __future__ import annotations

import math

import numpy as np

from crosscurrent.geometries.arrays import FloatArray
from crosscurrent.geometries.errors import CrosscurrentError

from .depth import MU0
from .magnetisation import Magnetisation

STRENGTHS = {"A/m": 1.0, "kA/m": 1e3, "A/cm": 1e2, "Oe": 1e3 / (4 * math.pi)}
FLUXES = {"T": 1.0, "mT": 1e-3, "G": 1e-4, "kG": 0.1}
TITLES = '"H [A/m], B [T]"'
MOST_ROWS, FEWEST_ROWS = 2000, 3
MOST_FLUX = 10.0  # [T]
_ROUNDING = 0.01  # share of mu0 by which a saturated row may rise less than air, as rounded data do
_QUOTED = 60  # letters of a line that a message repeats


class CurveError(CrosscurrentError, ValueError):
    """A table that is no magnetisation curve.

    Parameters
    ----------
    where, expected, found, hint : str
        File and line; what was expected, what was found, what to do.
    """

    def __init__(self, where: str, expected: str, found: str, hint: str) -> None:
        self.where, self.expected, self.found, self.hint = where, expected, found, hint
        super().__init__(f"{where}: expected {expected}, found {found}; {hint}")


def read_curve(text: str, name: str = "the file") -> Magnetisation:
    """A magnetisation curve from a table of text.

    Parameters
    ----------
    text : str
        A line "H [A/m], B [T]" and rows of two numbers, both rising, separated by commas, semicolons or tabs; lines
        that begin with # are skipped, so is a first row 0, 0. Units: A/m, kA/m, A/cm, Oe; T, mT, G, kG.
    name : str
        Of the file, for messages.

    Raises
    ------
    CurveError
        Says in which line, what was expected and found, and what to do.

    Examples
    --------
    >>> curve = read_curve("H [A/m]; B [T]\\n0; 0\\n100; 0.1\\n300; 0.9\\n2000; 1.5")
    >>> round(curve.initial)
    796
    """
    lines = [(n, line.strip()) for n, line in enumerate(text.lstrip("\ufeff").splitlines(), 1)]
    lines = [(n, line) for n, line in lines if line and not line.startswith("#")]
    if not lines:
        raise CurveError(name, f"a line {TITLES} and rows of numbers", "nothing", "save the curve again")
    head = lines[0][1]
    sign = next((s for s in (";", "\t", ",") if s in head), ",")
    units = _units(head, sign, f"{name}, line {lines[0][0]}")
    if len(lines) - 1 > MOST_ROWS:
        raise CurveError(name, f"at most {MOST_ROWS} rows", str(len(lines) - 1), "some dozens will do")
    rows = np.array([_row(line, sign, f"{name}, line {n}") for n, line in lines[1:]]).reshape(-1, 2) * units
    numbers = [n for n, _ in lines[1:]]
    if len(rows) and not rows[0].any():
        rows, numbers = rows[1:], numbers[1:]
    if len(rows) < FEWEST_ROWS:
        raise CurveError(name, f"at least {FEWEST_ROWS} points beside 0, 0", str(len(rows)), "add further ones")
    _check(rows, [f"{name}, line {n}" for n in numbers])
    strength, flux = rows.T.tolist()
    return Magnetisation(tuple(strength), tuple(flux))


def _units(head: str, sign: str, where: str) -> FloatArray:
    words = [cell.strip() for cell in head.split(sign)]
    found = []
    for word, wanted, known in zip([*words, "", ""][:2], "HB", (STRENGTHS, FLUXES), strict=True):
        title, _, unit = word.partition("[")
        if len(words) != 2 or title.strip() != wanted or unit.rstrip("] ") not in known:
            # another file than was meant: nothing of it is repeated
            quoted = f'"{head[:_QUOTED]}"' if head.startswith("H") else "something else"
            hint = f"units are {', '.join(STRENGTHS)} and {', '.join(FLUXES)}"
            raise CurveError(where, f"the titles {TITLES}", quoted, hint)
        found.append(known[unit.rstrip("] ")])
    return np.array(found)


def _row(line: str, sign: str, where: str) -> tuple[float, float]:
    try:
        strength, flux = (float(cell) for cell in line.split(sign))
    except ValueError:
        hint = "write two numbers with decimal points, separated as the titles are"
        raise CurveError(where, "two numbers, H and B", f'"{line[:_QUOTED]}"', hint) from None
    if not (math.isfinite(strength) and math.isfinite(flux)):
        raise CurveError(where, "two finite numbers", f'"{line[:_QUOTED]}"', "leave the row out")
    return strength, flux


def _check(rows: FloatArray, where: list[str]) -> None:
    """Both rise, B at least as in air; it stays within what metals reach."""
    before = np.vstack(([0.0, 0.0], rows[:-1]))
    for place, (h, b), (h0, b0) in zip(where, rows.tolist(), before.tolist(), strict=True):
        if h <= h0:
            hint = "sort the rows; of a loop keep the initial curve or the line through the tips of loops"
            raise CurveError(place, f"a field strength above {h0:.6g} A/m", f"{h:.6g} A/m", hint)
        if b - b0 < (1 - _ROUNDING) * MU0 * (h - h0):
            expected = f"a flux density of at least {b0 + MU0 * (h - h0):.6g} T, as much more as in air"
            raise CurveError(place, expected, f"{b:.6g} T", "B is mu0 H and what the metal adds; check units and row")
        if b > MOST_FLUX + MU0 * h:
            raise CurveError(place, f"flux densities that metals reach, up to {MOST_FLUX:g} T", f"{b:.6g} T",
                             "check the unit")  # fmt: skip
