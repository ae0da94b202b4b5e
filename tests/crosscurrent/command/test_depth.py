"""The command `depth`: skin depths as published, of several metals, frequencies and temperatures."""

import pytest
from printed import row

from crosscurrent.command.depth_output import _digits


def test_depth_of_copper_is_eight_thou_at_100_khz(run):  # common practice, no source
    status, out, err = run("depth", "copper", "--at", "100 kHz")
    assert (status, err) == (0, "")
    # delta 0.20898 mm; sheet resistance 1/(58 MS/m * 0.20898 mm); 1.4074 depths, where the factor is tanh(pi/2)/0.99
    assert row(out, "copper", "100")[3:] == ["0.2090", "8.228", "82.50", "uohm", "0.2941", "11.58"]
    assert "IEC 60028" in out


def test_depth_takes_several_metals_frequencies_and_a_temperature(run):
    status, out, _ = run("depth", "copper", "silver", "--at", "50 Hz", "85kHz", "--temperature", "70 degC")
    assert status == 0
    rows = [line.split()[:3] for line in out.splitlines() if "ohm" in line and "Source" not in line]
    assert rows == [[metal, *f] for metal in ("copper", "silver") for f in (["50", "Hz"], ["85", "kHz"])]
    # 9.3459 mm at 20 degC, and resistivity times 1.1965 (IEC 60028)
    assert float(row(out, "copper", "50")[3]) == pytest.approx(9.3459 * 1.1965**0.5, rel=5e-4)


def test_options_may_stand_before_the_metal_and_aluminium_means_its_alloys(run):
    status, out, _ = run("depth", "--at", "50 Hz", "aluminium")
    assert status == 0
    # sqrt(rho / (pi f mu0)) of 60 and 55 % IACS
    for alloy, sigma in (("aluminium-1350", 34.8e6), ("aluminium-6101", 31.9e6)):
        exact = 1e3 / (3.14159265 * 50 * 4e-7 * 3.14159265 * sigma) ** 0.5
        assert float(row(out, alloy)[3]) == pytest.approx(exact, rel=5e-4)
    assert run("depth", "aluminium", "--at", "50 Hz")[1] == out
    status, _, err = run("depth", "--at", "copper")
    assert status == 2
    assert 'found "copper"' in err


def test_depth_says_how_uncertain_steel_is_and_takes_copper_unless_told(run):
    assert "permeability 100 to 2000" in run("depth", "steel", "--at", "50 Hz")[1]
    assert row(run("depth", "--at", "50 Hz", "--temperature", "-40 degC")[1], "copper")[:2] == ["copper", "50"]


def test_what_is_uncertain_about_a_metal_is_said_below_the_table(run):
    out = run("depth", "steel", "tin", "--at", "1 kHz", "--temperature", "100 degC")[1]
    assert "relative permeability" in out
    assert out.count("Source: ") == 2
    assert "Mind: " in out
    assert "Skin depth at 100 degC" in out


@pytest.mark.parametrize(
    ("value", "text"), [(9.3459, "9.346"), (0.209, "0.2090"), (123.4, "123.4"), (1.2346e-4, "0.0001235"), (1, "1.000")]
)
def test_four_digits_without_an_exponent(value, text):
    assert _digits(value) == text
