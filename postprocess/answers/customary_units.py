"""SI figures in the units of the inch-pound trade, beside the SI ones."""

from __future__ import annotations

from .units import INCH, THOU, engineering

FOOT = 0.3048  # [m]
# unit -> (factor, unit of the inch-pound trade)
_CUSTOMARY = {
    "ohm/m": (FOOT, "ohm/ft"),
    "H/m": (FOOT, "H/ft"),
    "W/m": (FOOT, "W/ft"),
    "V/m": (FOOT, "V/ft"),
    "F/m": (FOOT, "F/ft"),
    "N/m": (FOOT / 4.4482216152605, "lbf/ft"),
    "kg/m": (FOOT / 0.45359237, "lb/ft"),
    "N": (1 / 4.4482216152605, "lbf"),
    "A/m2": (0.0254**2, "A/in2"),
    "m": (1 / THOU, "thou"),
}


def customary(value: float | None, unit: str, digits: int = 4) -> str:
    """A figure in the inch-pound units of the trade; empty where the trade uses the SI unit.

    Parameters
    ----------
    value : float or None
        In SI units.
    unit : str
        "ohm/m", "H/m", "W/m", "V/m", "F/m", "N/m", "kg/m", "N", "A/m2", "m" or "degC".
    digits : int
        Significant.

    Examples
    --------
    >>> customary(1e-3, "ohm/m")
    '304.8 uohm/ft'
    >>> customary(1.0, "N/m"), customary(100.0, "degC")
    ('0.06852 lbf/ft', '212.0 degF')
    >>> customary(58.82e6, "A/m2")
    '37950 A/in2'
    >>> customary(0.006, "m"), customary(0.240, "m")
    ('236.2 thou', '9.449 in')
    """
    if value is None:
        return ""
    if unit == "degC":
        return f"{1.8 * value + 32:.1f} degF"
    if unit not in _CUSTOMARY:
        return ""
    factor, other = _CUSTOMARY[unit]
    if unit == "m" and value >= INCH:
        factor, other = 1 / INCH, "in"
    if other in ("lbf/ft", "lbf", "lb/ft", "thou", "in", "A/in2"):  # no prefixes on these
        number = float(f"{value * factor:.{digits}g}")
        return f"{number:.0f} {other}" if abs(number) >= 10**digits else f"{number:.{digits}g} {other}"
    return engineering(value * factor, other, digits)
