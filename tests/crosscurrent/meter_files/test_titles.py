"""Titles of columns as meters write them."""

import pytest

from crosscurrent.meter_files.titles import is_unit, title_of

MICRO, OHM, GREEK_OHM, DEGREE, THETA = "\u00b5", "\u2126", "\u03a9", "\u00b0", "\u03b8"


@pytest.mark.parametrize(
    ("text", "kind", "lay", "unit"),
    [
        ("Frequency(Hz)", "f", "", "Hz"),
        ("Freq. [kHz]", "f", "", "kHz"),
        ("f_Hz", "f", "", "Hz"),
        ("FREQUENCY / MHZ", "f", "", "MHz"),
        ("Frequency in MHz", "f", "", "MHz"),
        (f"Rs (m{GREEK_OHM})", "R", "s", "mohm"),
        (f"R [{MICRO}{OHM}]", "R", "", "uohm"),
        ("R [kOhm]", "R", "", "kohm"),
        ("ESR mOhm", "R", "s", "mohm"),
        ("Series Resistance (Ohm)", "R", "s", "ohm"),
        ("R p [ohm]", "R", "p", "ohm"),
        ("Ls-uH", "L", "s", "uH"),
        (f"LP({MICRO}H)", "L", "p", "uH"),
        ("Inductance, nH", "L", "", "nH"),
        ("Re(Z) [ohm]", "R", "", "ohm"),
        ("|Z| Ohm", "Z", "", "ohm"),
        ("Theta(deg)", "phase", "", "deg"),
        (f"{THETA} ({DEGREE})", "phase", "", "deg"),
        ("phase [rad]", "phase", "", "rad"),
        ("Q [-]", "Q", "", ""),
        ("D [%]", "D", "", "%"),
        ("Q", "Q", "", None),
    ],
)
def test_titles(text: str, kind: str, lay: str, unit: str | None) -> None:
    found = title_of(text)
    assert (found.kind, found.lay, found.unit) == (kind, lay, unit)


@pytest.mark.parametrize("text", ["Cs (F)", "Rdc [ohm]", "R [uH]", "Trace A", "Time [s]", ""])
def test_what_is_none(text: str) -> None:
    assert title_of(text).kind is None


def test_units_alone() -> None:
    assert all(map(is_unit, ("kHz", "[mOhm]", "uH", "deg")))
    assert not any(map(is_unit, ("R", "bench", "12")))


def test_worth_of_a_unit() -> None:
    assert title_of("L [nH]").worth() == pytest.approx(1e-9)
    assert title_of("L").worth() == 1
