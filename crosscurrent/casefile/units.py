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


# What pint knows: its own list of a thousand units takes a quarter of a second to read.
# Inch, pound, gallon (US) and degree Fahrenheit: exact, NIST Special Publication 811, appendix B.
DEFINITIONS = """
pico- = 1e-12 = p-
nano- = 1e-9 = n-
micro- = 1e-6 = u-
milli- = 1e-3 = m-
centi- = 1e-2 = c-
deci- = 1e-1 = d-
kilo- = 1e3 = k-
mega- = 1e6 = M-
giga- = 1e9 = G-
meter = [length] = m
second = [time] = s
gram = [mass] = g
ampere = [current] = A
kelvin = [temperature]; offset: 0 = K
radian = []  = rad
degC = kelvin; offset: 273.15
degF = 5 / 9 * kelvin; offset: 233.15 + 200 / 9
degree = 0.017453292519943295 * radian = deg
percent = 0.01
ppm = 1e-6
inch = 0.0254 * meter = in
thou = 0.001 * inch
foot = 12 * inch = ft
minute = 60 * second = min
hour = 3600 * second = h
liter = 0.001 * meter ** 3 = l
gallon = 231 * inch ** 3
pound = 453.59237 * gram = lb
hertz = 1 / second = Hz
newton = kilogram * meter / second ** 2 = N
pascal = newton / meter ** 2 = Pa
bar = 1e5 * pascal
psi = 9.80665 * pound * meter / second ** 2 / inch ** 2
joule = newton * meter = J
watt = joule / second = W
volt = watt / ampere = V
tesla = volt * second / meter ** 2 = T
gauss = 1e-4 * tesla
ksi = 1000 * psi
ohm = volt / ampere
henry = volt * second / ampere = H
siemens = 1 / ohm = S
percent_IACS = 0.58e6 * siemens / meter
"""

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
_PRESSURES = _same("bar", "kPa", "MPa", "psi", "Pa", "mbar")
_FLUX_DENSITIES = MappingProxyType({**_same("uT", "mT", "T", "nT"), "G": "gauss", "mG": "milligauss"})
_STRESSES = MappingProxyType({**_same("MPa", "GPa", "psi", "ksi", "Pa"), "N/mm2": "N/mm**2"})
_FLOWS = MappingProxyType(
    {**_same("l/min", "l/h", "l/s"), "L/min": "l/min", "m3/h": "m**3/hour", "m3/s": "m**3/s", "gpm": "gallon/min"}
)
_DENSITIES = MappingProxyType({"kg/m3": "kg/m**3", "g/cm3": "g/cm**3", "kg/dm3": "kg/dm**3", "lb/in3": "lb/in**3"})

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
        "flux density": Dimension("a flux density", '"27 uT"', "T", _FLUX_DENSITIES, "0.000001 nT", "100 T"),
        "stress": Dimension("a stress", '"80 MPa"', "Pa", _STRESSES, "1 Pa", "1000 GPa"),
        "pressure": Dimension("a pressure", '"2 bar"', "Pa", _PRESSURES, "1 Pa", "100 bar"),
        "gauge pressure": Dimension(
            "a pressure above the atmosphere's", '"1 bar"', "Pa", _PRESSURES, "-0.9 bar", "100 bar"
        ),
        "flow": Dimension("a flow", '"4 l/min"', "m**3/s", _FLOWS, "0.001 l/min", "10000 l/min"),
        "resistance": Dimension(
            "a resistance", '"5 uohm"', "ohm", _same("uohm", "mohm", "nohm", "ohm"), "0.001 nohm", "1 ohm"
        ),
        "voltage": Dimension("a voltage", '"48 V"', "V", _same("V", "kV", "mV", "MV"), "0.000001 V", "10 MV"),
        "field strength": Dimension(
            "a field strength",
            '"300 V/mm"',
            "V/m",
            _same("V/mm", "kV/mm", "kV/cm", "V/m", "kV/m"),
            "1 V/m",
            "1000 kV/mm",
        ),
        "density": Dimension("a density", '"8890 kg/m3"', "kg/m**3", _DENSITIES, "100 kg/m3", "30000 kg/m3"),
        "speed": Dimension(
            "a speed", '"1 m/s"', "m/s", {**_same("m/s", "km/h"), "ft/min": "ft/min"}, "0.01 m/s", "100 m/s", zero=True
        ),
        "altitude": Dimension("an altitude", '"0 m"', "m", _same("m", "km", "ft"), "-500 m", "9000 m"),
        "time": Dimension(
            "a time", '"10 min" or "1 s"', "s", {**_same("s", "min", "ms", "us"), "h": "hour"}, "0.1 us", "10000 h"
        ),
        "thermal conductivity": Dimension(
            "a thermal conductivity",
            '"391 W/(m*K)"',
            "W/m/K",
            dict.fromkeys(("W/(m*K)", "W/m/K", "W/m*K"), "W/m/K"),
            "0.01 W/(m*K)",
            "5000 W/(m*K)",
        ),
        "heat capacity": Dimension(
            "a heat capacity",
            '"385 J/(kg*K)"',
            "J/kg/K",
            {**dict.fromkeys(("J/(kg*K)", "J/kg/K", "J/kg*K"), "J/kg/K"), "kJ/(kg*K)": "kJ/kg/K"},
            "10 J/(kg*K)",
            "10000 J/(kg*K)",
        ),
        "loss per metre": Dimension(
            "a loss per length", '"600 W/m"', "W/m", _same("W/m", "kW/m", "mW/m", "W/ft"), "0.001 mW/m", "1000 kW/m"
        ),
        "inductance per metre": Dimension(
            "an inductance per length", '"20 nH/m"', "H/m", _same("nH/m", "uH/m", "nH/ft"), "0.001 nH/m", "1000 uH/m"
        ),
        "force per metre": Dimension(
            "a force per length", '"2 kN/m"', "N/m", _same("N/m", "kN/m"), "0.000001 N/m", "100000 kN/m"
        ),
        "temperature rise": Dimension("a temperature rise", '"10 K"', "K", _same("K"), "0.001 K", "1000 K"),
        "mass per metre": Dimension(
            "a mass per length", '"12 kg/m"', "kg/m", _same("kg/m", "g/m", "lb/ft"), "0.001 g/m", "100000 kg/m"
        ),
        "ratio": Dimension(
            "a percentage", '"0.1 %"', "", MappingProxyType({"%": "percent", "ppm": "ppm"}), "0.001 ppm", "50 %"
        ),
        "share of glycol": Dimension(
            "a share of glycol by mass", '"30 %"', "", MappingProxyType({"%": "percent"}), "0.01 %", "60 %", zero=True
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
