"""The units each dimension accepts, their worth and its range; spellings that trap people, with what to write."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType


@dataclass(frozen=True)
class Dimension:
    """What a quantity may be: its noun, examples, units and range.

    Parameters
    ----------
    noun, examples : str
        For messages: "a length", '"6 mm" or "1/4 in"'.
    si : str
        Unit of the result.
    units : mapping of str to float
        Accepted unit as written -> its worth in the unit of the result; common ones first.
    low, high : str
        Smallest and largest value allowed, as written.
    zero : bool
        Whether 0 is allowed although it lies below `low`.
    origins : mapping of str to float
        What 0 of a unit is in the unit of the result, where that is not 0.
    """

    noun: str
    examples: str
    si: str
    units: Mapping[str, float]
    low: str
    high: str
    zero: bool = False
    origins: Mapping[str, float] = field(default_factory=dict)

    def to_si(self, value: float, unit: str) -> float:
        """A number of a unit in the unit of the result; 9.3 mm is the number nearest to 0.0093 m."""
        worth = self.units[unit]
        return (value / parts if (parts := _parts(worth)) else value * worth) + self.origins.get(unit, 0.0)

    def of_si(self, value: float, unit: str) -> float:
        """A number of the unit of the result in another unit."""
        worth, counted = self.units[unit], value - self.origins.get(unit, 0.0)
        return counted * parts if (parts := _parts(worth)) else counted / worth


def _parts(worth: float) -> int:
    """How many of a unit make the larger one where that is a whole number, else 0: division rounds once only."""
    parts = round(1 / worth)
    return parts if parts > 1 and 1 / parts == worth else 0


# Exact: NIST Special Publication 811, appendix B; the gallon is that of the US.
_INCH, _FOOT, _POUND, _GALLON = 0.0254, 0.3048, 0.45359237, 231 * 0.0254**3
_PSI = 9.80665 * _POUND / _INCH**2
_DEGREE = 0.017453292519943295
_IACS = 0.58e6  # a hundredth of the International Annealed Copper Standard at 20 degC, IEC 60028

_LENGTHS = MappingProxyType(
    {"mm": 1e-3, "cm": 1e-2, "m": 1.0, "um": 1e-6, "in": _INCH, "thou": 2.54e-5}
    | {"nm": 1e-9, "ft": _FOOT, "inch": _INCH, "micron": 1e-6}
)
_PRESSURES = MappingProxyType({"bar": 1e5, "kPa": 1e3, "MPa": 1e6, "psi": _PSI, "Pa": 1.0, "mbar": 1e2})

DIMENSIONS: Mapping[str, Dimension] = MappingProxyType(
    {
        "length": Dimension("a length", '"6 mm" or "1/4 in"', "m", _LENGTHS, "10 nm", "100 m"),
        "radius": Dimension("a radius", '"0.5 mm" or "0 mm"', "m", _LENGTHS, "10 nm", "100 m", zero=True),
        "strand diameter": Dimension(
            "a strand diameter", '"0.1 mm" or "AWG 38"', "m", _LENGTHS, "1 um", "10 mm"
        ),
        "area": Dimension(
            "an area",
            '"10 mm2"',
            "m**2",
            {"mm2": 1e-6, "cm2": 1e-4, "m2": 1.0, "in2": _INCH**2, "kcmil": 250e-6 * math.pi * _INCH**2},
            "0.000001 mm2",
            "1 m2",
        ),
        "position": Dimension("a coordinate", '"3.5 mm" or "-1/4 in"', "m", _LENGTHS, "-100 m", "100 m"),
        "frequency": Dimension(
            "a frequency", '"85 kHz"', "Hz", {"Hz": 1.0, "kHz": 1e3, "MHz": 1e6, "GHz": 1e9}, "0 Hz", "100 GHz"
        ),
        "current": Dimension("a current", '"900 A"', "A", {"A": 1.0, "kA": 1e3, "mA": 1e-3}, "0 A", "1000000 kA"),
        "angle": Dimension("an angle", '"120 deg"', "rad", {"deg": _DEGREE, "rad": 1.0}, "-3600 deg", "3600 deg"),
        "temperature": Dimension(
            "a temperature",
            '"70 degC"',
            "degC",
            {"degC": 1.0, "degF": 5 / 9, "K": 1.0},
            "-273 degC",
            "4000 degC",
            origins={"degF": -160 / 9, "K": -273.15},
        ),
        "conductivity": Dimension(
            "a conductivity",
            '"58 MS/m" or "100 %IACS"',
            "S/m",
            {"MS/m": 1e6, "%IACS": _IACS, "S/m": 1.0, "kS/m": 1e3, "S/cm": 1e2, "m/(ohm*mm2)": 1e6, "m/ohm/mm2": 1e6},
            "1 S/m",
            "1000000 MS/m",
            zero=True,
        ),
        "resistivity": Dimension(
            "a resistivity",
            '"17.24 nohm*m" or "1.724 uohm*cm"',
            "ohm*m",
            {
                "nohm*m": 1e-9,
                "uohm*cm": 1e-8,
                "uohm*m": 1e-6,
                "ohm*m": 1.0,
                "ohm*cm": 1e-2,
                "ohm*mm2/m": 1e-6,
                "uohm*in": 1e-6 * _INCH,
            },
            "0.000001 nohm*m",
            "1 ohm*m",
        ),
        "temperature coefficient": Dimension(
            "a temperature coefficient",
            '"0.0039 /K"',
            "1/K",
            {"/K": 1.0, "1/K": 1.0, "/degC": 1.0, "1/degC": 1.0, "%/K": 1e-2, "ppm/K": 1e-6, "ppm/degC": 1e-6},
            "-0.1 /K",
            "0.1 /K",
        ),
        "flux density": Dimension(
            "a flux density",
            '"27 uT"',
            "T",
            {"uT": 1e-6, "mT": 1e-3, "T": 1.0, "nT": 1e-9, "G": 1e-4, "mG": 1e-7},
            "0.000001 nT",
            "100 T",
        ),
        "stress": Dimension(
            "a stress",
            '"80 MPa"',
            "Pa",
            {"MPa": 1e6, "GPa": 1e9, "psi": _PSI, "ksi": 1e3 * _PSI, "Pa": 1.0, "N/mm2": 1e6},
            "1 Pa",
            "1000 GPa",
        ),
        "pressure": Dimension("a pressure", '"2 bar"', "Pa", _PRESSURES, "1 Pa", "100 bar"),
        "gauge pressure": Dimension(
            "a pressure above the atmosphere's", '"1 bar"', "Pa", _PRESSURES, "-0.9 bar", "100 bar"
        ),
        "flow": Dimension(
            "a flow",
            '"4 l/min"',
            "m**3/s",
            {
                "l/min": 1e-3 / 60,
                "l/h": 1e-3 / 3600,
                "l/s": 1e-3,
                "L/min": 1e-3 / 60,
                "m3/h": 1 / 3600,
                "m3/s": 1.0,
                "gpm": _GALLON / 60,
            },
            "0.001 l/min",
            "10000 l/min",
        ),
        "resistance": Dimension(
            "a resistance",
            '"5 uohm"',
            "ohm",
            {"uohm": 1e-6, "mohm": 1e-3, "nohm": 1e-9, "ohm": 1.0},
            "0.001 nohm",
            "1 ohm",
        ),
        "reference impedance": Dimension(
            "a reference impedance", '"50 ohm"', "ohm", {"ohm": 1.0, "mohm": 1e-3, "kohm": 1e3}, "1 mohm", "10 kohm"
        ),
        "voltage": Dimension(
            "a voltage", '"48 V"', "V", {"V": 1.0, "kV": 1e3, "mV": 1e-3, "MV": 1e6}, "0.000001 V", "10 MV"
        ),
        "field strength": Dimension(
            "a field strength",
            '"300 V/mm"',
            "V/m",
            {"V/mm": 1e3, "kV/mm": 1e6, "kV/cm": 1e5, "V/m": 1.0, "kV/m": 1e3},
            "1 V/m",
            "1000 kV/mm",
        ),
        "density": Dimension(
            "a density",
            '"8890 kg/m3"',
            "kg/m**3",
            {"kg/m3": 1.0, "g/cm3": 1e3, "kg/dm3": 1e3, "lb/in3": _POUND / _INCH**3},
            "100 kg/m3",
            "30000 kg/m3",
        ),
        "speed": Dimension(
            "a speed",
            '"1 m/s"',
            "m/s",
            {"m/s": 1.0, "km/h": 1 / 3.6, "ft/min": _FOOT / 60},
            "0.01 m/s",
            "100 m/s",
            zero=True,
        ),
        "altitude": Dimension("an altitude", '"0 m"', "m", {"m": 1.0, "km": 1e3, "ft": _FOOT}, "-500 m", "9000 m"),
        "time": Dimension(
            "a time",
            '"10 min" or "1 s"',
            "s",
            {"s": 1.0, "min": 60.0, "ms": 1e-3, "us": 1e-6, "h": 3600.0},
            "0.1 us",
            "10000 h",
        ),
        "thermal conductivity": Dimension(
            "a thermal conductivity",
            '"391 W/(m*K)"',
            "W/m/K",
            dict.fromkeys(("W/(m*K)", "W/m/K", "W/m*K"), 1.0),
            "0.01 W/(m*K)",
            "5000 W/(m*K)",
        ),
        "heat capacity": Dimension(
            "a heat capacity",
            '"385 J/(kg*K)"',
            "J/kg/K",
            {**dict.fromkeys(("J/(kg*K)", "J/kg/K", "J/kg*K"), 1.0), "kJ/(kg*K)": 1e3},
            "10 J/(kg*K)",
            "10000 J/(kg*K)",
        ),
        "heat transfer": Dimension(
            "a coefficient of heat transfer",
            '"10 W/(m2*K)"',
            "W/m**2/K",
            dict.fromkeys(("W/(m2*K)", "W/m2/K", "W/m2*K"), 1.0),
            "0.01 W/(m2*K)",
            "100000 W/(m2*K)",
            zero=True,
        ),
        "power": Dimension(
            "a power", '"5 kW"', "W", {"kW": 1e3, "W": 1.0, "mW": 1e-3, "MW": 1e6}, "0.001 mW", "1000 MW"
        ),
        "reactive power": Dimension(
            "a reactive power", '"50 kvar"', "V*A", {"kvar": 1e3, "var": 1.0, "Mvar": 1e6}, "1 var", "1000 Mvar"
        ),
        "resistance of a coil": Dimension(
            "a resistance",
            '"20 mohm"',
            "ohm",
            {"mohm": 1e-3, "ohm": 1.0, "uohm": 1e-6, "kohm": 1e3},
            "0.001 uohm",
            "1000 kohm",
        ),
        "resistance per metre": Dimension(
            "a resistance per length",
            '"40 uohm/m"',
            "ohm/m",
            {"uohm/m": 1e-6, "mohm/m": 1e-3, "ohm/m": 1.0, "uohm/ft": 1e-6 / _FOOT},
            "0.001 uohm/m",
            "1000 ohm/m",
        ),
        "inductance": Dimension(
            "an inductance", '"2 uH"', "H", {"uH": 1e-6, "nH": 1e-9, "mH": 1e-3, "H": 1.0}, "0.001 nH", "1000 H"
        ),
        "force": Dimension("a force", '"50 N"', "N", {"N": 1.0, "kN": 1e3, "mN": 1e-3}, "0.000001 N", "100000 kN"),
        "loss per metre": Dimension(
            "a loss per length",
            '"600 W/m"',
            "W/m",
            {"W/m": 1.0, "kW/m": 1e3, "mW/m": 1e-3, "W/ft": 1 / _FOOT},
            "0.001 mW/m",
            "1000 kW/m",
        ),
        "inductance per metre": Dimension(
            "an inductance per length",
            '"20 nH/m"',
            "H/m",
            {"nH/m": 1e-9, "uH/m": 1e-6, "nH/ft": 1e-9 / _FOOT},
            "0.001 nH/m",
            "1000 uH/m",
        ),
        "force per metre": Dimension(
            "a force per length", '"2 kN/m"', "N/m", {"N/m": 1.0, "kN/m": 1e3}, "0.000001 N/m", "100000 kN/m"
        ),
        "temperature rise": Dimension("a temperature rise", '"10 K"', "K", {"K": 1.0}, "0.001 K", "1000 K"),
        "mass per metre": Dimension(
            "a mass per length",
            '"12 kg/m"',
            "kg/m",
            {"kg/m": 1.0, "g/m": 1e-3, "lb/ft": _POUND / _FOOT},
            "0.001 g/m",
            "100000 kg/m",
        ),
        "ratio": Dimension("a percentage", '"0.1 %"', "", {"%": 1e-2, "ppm": 1e-6}, "0.001 ppm", "50 %"),
        "share": Dimension("a share", '"30 %"', "", {"%": 1e-2}, "0.001 %", "100 %"),
        "share of glycol": Dimension(
            "a share of glycol by mass", '"30 %"', "", {"%": 1e-2}, "0.01 %", "60 %", zero=True
        ),
    }
)

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
