"""Quantities: every trap of the trade's spelling, and round trips over all units."""

from __future__ import annotations

import contextlib
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from crosscurrent.casefile.quantities import QuantityError, parse, read_quantity, tolerance
from crosscurrent.casefile.units import DIMENSIONS
from crosscurrent.postprocess.answers.units import concise

# Factors by definition: the inch is 25.4 mm exactly; 100 %IACS is 58 MS/m (IEC 60028).
VALUES = [
    ("6 mm", "length", 6e-3),
    ("6mm", "length", 6e-3),
    ("  6  mm ", "length", 6e-3),
    ("0.4 um", "length", 0.4e-6),
    ("0.4 \u00b5m", "length", 0.4e-6),
    ("0.4 \u03bcm", "length", 0.4e-6),
    (".5 mm", "length", 0.5e-3),
    ("5. mm", "length", 5e-3),
    ("1e-3 m", "length", 1e-3),
    ("8 thou", "length", 8 * 25.4e-6),
    ("1/4 in", "length", 6.35e-3),
    ("1 1/2 in", "length", 38.1e-3),
    ("3/8in", "length", 9.525e-3),
    ("2 ft", "length", 0.6096),
    ("10 nm", "length", 1e-8),
    ("100 m", "length", 100.0),
    ("AWG 36", "strand diameter", 0.127e-3),  # ASTM B258: 5 thou
    ("awg36 +- 2 %", "strand diameter", 0.127e-3),
    ("0.1 mm", "strand diameter", 1e-4),
    ("10 mm2", "area", 1e-5),
    ("0 mm", "radius", 0.0),
    ("0 mm", "position", 0.0),
    ("-1/4 in", "position", -6.35e-3),
    ("\u22123.5 mm", "position", -3.5e-3),
    ("85 kHz", "frequency", 85e3),
    ("13.56 MHz", "frequency", 13.56e6),
    ("0 Hz", "frequency", 0.0),
    ("0.9 kA", "current", 900.0),
    ("250 mA", "current", 0.25),
    ("120 deg", "angle", 2 * math.pi / 3),
    ("-90\u00b0", "angle", -math.pi / 2),
    ("70 degC", "temperature", 70.0),
    ("70 \u00b0C", "temperature", 70.0),
    ("293.15 K", "temperature", 20.0),
    ("212 degF", "temperature", 100.0),
    ("58 MS/m", "conductivity", 58e6),
    ("100 %IACS", "conductivity", 58e6),
    ("61 % IACS", "conductivity", 0.61 * 58e6),
    ("35 m/(ohm*mm2)", "conductivity", 35e6),
    ("17.24 nohm*m", "resistivity", 17.24e-9),
    ("1.724 uohm*cm", "resistivity", 17.24e-9),
    ("1.724 uohm-cm", "resistivity", 17.24e-9),
    ("1.724 \u00b5\u03a9\u00b7cm", "resistivity", 17.24e-9),
    ("0.01724 ohm*mm2/m", "resistivity", 17.24e-9),
    ("0.01724 \u03a9\u00b7mm\u00b2/m", "resistivity", 17.24e-9),
    ("0.0038 /K", "temperature coefficient", 3.8e-3),
    ("0.0038 1/K", "temperature coefficient", 3.8e-3),
    ("3.8e-3/K", "temperature coefficient", 3.8e-3),
    ("0.38 %/K", "temperature coefficient", 3.8e-3),
    ("0.1 %", "ratio", 1e-3),
    ("10 ppm", "ratio", 1e-5),
]


@pytest.mark.parametrize(("text", "dimension", "value"), VALUES)
def test_value(text: str, dimension: str, value: float) -> None:
    assert parse(text, dimension) == pytest.approx(value, rel=1e-12, abs=1e-11)


TRAPS = [
    ("1,5 mm", "length", 'write a decimal point: "1.5 mm"'),
    ("1,500 mm", "length", 'a comma is not read: write "1.500 mm" or "1500 mm"'),
    ("1 000 mm", "length", 'write the number in one piece: "1000 mm"'),
    ("1'000 mm", "length", 'write the number in one piece: "1000 mm"'),
    ("1_000 mm", "length", 'write the number in one piece: "1000 mm"'),
    ("62 mil", "length", 'write "62 thou" or "62 mm"'),
    ("5 furlong", "length", "write the unit of a length: mm, cm, m, um, in, thou"),
    ("1 oz", "length", "an ounce is a weight of foil"),
    ("14 AWG", "length", "a gauge number is no length"),
    ("16 mm2", "length", "write the unit of a length"),
    ('1/4"', "length", 'write "1/4 in"'),
    ("6", "length", 'write "6 mm" if mm is meant'),
    ("mm", "length", "begin with a number"),
    ("", "length", "begin with a number"),
    ("6 Mm", "length", 'did you mean "6 mm"?'),
    ("80 mn", "length", 'did you mean "80 mm"?'),
    ("1.5.2 mm", "length", "write one plain number"),
    ("1/2/3 in", "length", "write the unit of a length"),
    ("1/0 in", "length", "a fraction cannot have 0 below its stroke"),
    ("1\u00bd in", "length", 'write "1 1/2 in"'),
    ("\u00bc in", "length", 'write "1/4 in"'),
    ("1-1/2 in", "length", 'write "1 1/2 in"'),
    ("10 THz", "frequency", "Hz, kHz, MHz, GHz, from 0 Hz to 100 GHz"),
    ("40 km", "length", "from 10 nm to 100 m"),
    ("-6 mm", "length", "write it without the minus sign"),
    ("0 mm", "length", "write a value above 0"),
    ("-50 Hz", "frequency", "write it without the minus sign"),
    ("0 %", "ratio", "no computation is exact"),
    ("1e999 m", "length", "the number is too large"),
    ("nan m", "length", "begin with a number"),
    ("inf m", "length", "begin with a number"),
    ("\u0666 mm", "length", "begin with a number"),
    ("3 mm + 2 mm", "length", "write the unit of a length"),
    ("6 kHz", "length", "write the unit of a length"),
    ("85 mHz", "frequency", 'did you mean "85 MHz"?'),
    ("3 gpm", "frequency", "write the unit of a frequency"),
    ("60 C", "temperature", 'write "60 degC"'),
    ("60 F", "temperature", 'write "60 degF"'),
    ("58 mS/m", "conductivity", 'did you mean "58 MS/m"?'),
    ("17 %", "conductivity", "write the unit of a conductivity"),
    ("900 A rms", "current", 'every current is rms: write "900 A"'),
    ("900 Arms", "current", 'every current is rms: write "900 A"'),
    ("1273 A peak", "current", "divide a peak by 1.4142"),
    ("-900 A", "current", "an rms value has no sign"),
]


@pytest.mark.parametrize(("text", "dimension", "hint"), TRAPS)
def test_trap_is_refused_with_a_way_out(text: str, dimension: str, hint: str) -> None:
    with pytest.raises(QuantityError) as caught:
        parse(text, dimension)
    assert hint in caught.value.hint
    assert f'"{text}"' in caught.value.found
    assert caught.value.expected.startswith(DIMENSIONS[dimension].noun)


@pytest.mark.parametrize(
    ("text", "dimension"),
    [
        ("9.9 nm", "length"),
        ("100.1 m", "length"),
        ("0 mm", "length"),
        ("-6 mm", "length"),
        ("-0.5 mm", "radius"),
        ("5 nm", "radius"),
        ("-101 m", "position"),
        ("-1 Hz", "frequency"),
        ("-274 degC", "temperature"),
        ("0.5 S/m", "conductivity"),
        ("0 %", "ratio"),
        ("60 %", "ratio"),
    ],
)
def test_out_of_range(text: str, dimension: str) -> None:
    with pytest.raises(QuantityError, match=r"from .* to .*, found"):
        parse(text, dimension)


def test_a_tolerance_is_quoted_as_it_was_written() -> None:
    with pytest.raises(QuantityError) as caught:
        tolerance("60 mm +- 0.5", "length")
    assert caught.value.found == '"0.5" (no unit)'


def test_a_tolerance_of_all_and_more_is_none() -> None:
    with pytest.raises(QuantityError, match=r'expected a tolerance behind \+-, less than 100 %, found "110 %"'):
        tolerance("60 mm +- 110 %", "length")
    assert tolerance("60 mm +- 99 %", "length") == pytest.approx(0.0594)


@pytest.mark.parametrize("value", [6, 6.0, True, None, ["6 mm"], {"mm": 6}])
def test_only_text_is_a_quantity(value: object) -> None:
    with pytest.raises(QuantityError, match="expected a length with a unit"):
        read_quantity(value, "length")


SIZES = {"mm": 1e-3, "cm": 1e-2, "m": 1.0, "um": 1e-6, "nm": 1e-9, "in": 0.0254, "thou": 25.4e-6, "ft": 0.3048}


@given(st.floats(1e-7, 50), st.sampled_from(sorted(SIZES)), st.sampled_from(["", " "]))
def test_length_round_trip(metres: float, unit: str, space: str) -> None:
    assert parse(f"{metres / SIZES[unit]!r}{space}{unit}", "length") == pytest.approx(metres, rel=1e-12)


@given(st.integers(0, 30), st.integers(1, 64), st.integers(1, 64))
def test_mixed_fraction(whole: int, top: int, bottom: int) -> None:
    expected = (whole + top / bottom) * 0.0254
    assert parse(f"{whole} {top}/{bottom} in", "length") == pytest.approx(expected, rel=1e-12)


@given(st.floats(1e-11, 9e11))
def test_concise_reads_back(value: float) -> None:
    prefixes = {"p": 1e-12, "n": 1e-9, "u": 1e-6, "m": 1e-3, "": 1.0, "k": 1e3, "M": 1e6, "G": 1e9}
    number, unit = concise(value, "Q").split()
    assert 1 <= float(number) < 1000
    assert float(number) * prefixes[unit.removesuffix("Q")] == pytest.approx(value, rel=1e-5)


@given(st.text(max_size=12), st.sampled_from(sorted(DIMENSIONS)))
def test_any_text_is_a_number_or_a_quantity_error(text: str, dimension: str) -> None:
    with contextlib.suppress(QuantityError):
        assert math.isfinite(parse(text, dimension))


@pytest.mark.parametrize(
    ("text", "dimension", "value"),
    [
        ("10 min", "time", 600), ("50 us", "time", 50e-6), ("50 µs", "time", 50e-6),
        ("2 h", "time", 7200), ("200 ms", "time", 0.2), ("1.5 km", "altitude", 1500),
        ("-100 m", "altitude", -100), ("36 km/h", "speed", 10), ("0 m/s", "speed", 0),
        ("391 W/(m*K)", "thermal conductivity", 391), ("0.385 kJ/(kg*K)", "heat capacity", 385),
    ],
)  # fmt: skip
def test_times_speeds_and_thermal_data(text: str, dimension: str, value: float) -> None:
    assert parse(text, dimension) == pytest.approx(value)


@pytest.mark.parametrize(
    ("text", "dimension"), [("5", "time"), ("12000 m", "altitude"), ("1 m", "speed"), ("1 d", "time")]
)
def test_what_is_no_time_altitude_or_speed(text: str, dimension: str) -> None:
    with pytest.raises(QuantityError):
        parse(text, dimension)
