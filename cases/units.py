"""The units each dimension accepts, with its range; spellings that trap people, with what to write instead."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType


@dataclass(frozen=True)
class Dimension:
    """What a quantity may be: its noun, examples, units and range.

    Parameters
    ----------
    noun, examples : str
        For messages: "a length", '"6 mm" or "1/4 in"'.
    si : str
        Unit of the result in pint's words.
    units : mapping of str to str
        Accepted unit as written -> the same in pint's words; common ones first.
    low, high : str
        Smallest and largest value allowed, as written.
    zero : bool
        Whether 0 is allowed although it lies below `low`.
    """

    noun: str
    examples: str
    si: str
    units: Mapping[str, str]
    low: str
    high: str
    zero: bool = False


def _same(*units: str) -> Mapping[str, str]:
    return MappingProxyType({unit: unit for unit in units})


_LENGTHS = MappingProxyType(
    {**_same("mm", "cm", "m", "um", "in", "thou"), "nm": "nm", "ft": "ft", "inch": "in", "micron": "um"}
)
_CONDUCTIVITIES = MappingProxyType(
    {"MS/m": "MS/m", "%IACS": "percent_IACS", "S/m": "S/m", "kS/m": "kS/m", "S/cm": "S/cm"}
    | dict.fromkeys(("m/(ohm*mm2)", "m/ohm/mm2"), "m/ohm/mm**2")
)
_RESISTIVITIES = MappingProxyType(
    {**_same("nohm*m", "uohm*cm", "uohm*m", "ohm*m", "ohm*cm"), "ohm*mm2/m": "ohm*mm**2/m", "uohm*in": "uohm*in"}
)
_COEFFICIENTS = MappingProxyType(
    {
        **dict.fromkeys(("/K", "1/K", "/degC", "1/degC"), "1/K"),
        "%/K": "percent/K",
        "ppm/K": "ppm/K",
        "ppm/degC": "ppm/K",
    }
)

DIMENSIONS: Mapping[str, Dimension] = MappingProxyType(
    {
        "length": Dimension("a length", '"6 mm" or "1/4 in"', "m", _LENGTHS, "10 nm", "100 m"),
        "radius": Dimension("a radius", '"0.5 mm" or "0 mm"', "m", _LENGTHS, "10 nm", "100 m", zero=True),
        "position": Dimension("a coordinate", '"3.5 mm" or "-1/4 in"', "m", _LENGTHS, "-100 m", "100 m"),
        "frequency": Dimension("a frequency", '"85 kHz"', "Hz", _same("Hz", "kHz", "MHz", "GHz"), "0 Hz", "100 GHz"),
        "current": Dimension("a current", '"900 A"', "A", _same("A", "kA", "mA"), "0 A", "1000000 kA"),
        "angle": Dimension("an angle", '"120 deg"', "rad", _same("deg", "rad"), "-3600 deg", "3600 deg"),
        "temperature": Dimension(
            "a temperature", '"70 degC"', "degC", _same("degC", "degF", "K"), "-273 degC", "4000 degC"
        ),
        "conductivity": Dimension(
            "a conductivity", '"58 MS/m" or "100 %IACS"', "S/m", _CONDUCTIVITIES, "1 S/m", "1000000 MS/m"
        ),
        "resistivity": Dimension(
            "a resistivity", '"17.24 nohm*m" or "1.724 uohm*cm"', "ohm*m", _RESISTIVITIES, "0.000001 nohm*m", "1 ohm*m"
        ),
        "temperature coefficient": Dimension(
            "a temperature coefficient", '"0.0039 /K"', "1/K", _COEFFICIENTS, "-0.1 /K", "0.1 /K"
        ),
        "ratio": Dimension(
            "a percentage", '"0.1 %"', "", MappingProxyType({"%": "percent", "ppm": "ppm"}), "0.001 ppm", "50 %"
        ),
    }
)

AREAS = ("mm2", "cm2", "m2", "in2", "kcmil")
TRAPS: Mapping[str, str] = MappingProxyType(
    {
        **dict.fromkeys(
            ("mil", "mils"),
            'a "mil" is a thousandth of an inch to some and a millimetre to others: write "{n} thou" or "{n} mm"',
        ),
        "oz": 'an ounce is a weight of foil: write its thickness, for 1 oz of copper about "35 um"',
        "awg": "a gauge number is no length: write the diameter",
        '"': 'write "{n} in"',
        "c": 'write "{n} degC"',
        "f": 'write "{n} degF"',
        "\u2103": 'write "{n} degC"',
        **dict.fromkeys(("arms", "a*rms"), 'every current is rms: write "{n} A"'),
        **dict.fromkeys(
            ("apk", "ap", "app", "a*peak", "a*pk", "a*pp"),
            "every current is rms: divide a peak by 1.4142, a peak-to-peak by 2.8284",
        ),
    }
)
