"""Titles of network analysers' columns."""

import pytest

from crosscurrent.meter_files.scattering_titles import scattering_title


@pytest.mark.parametrize(
    ("text", "place", "part", "unit"),
    [
        ("S11(DB)", "S11", "magnitude", "dB"),
        ("S11(DEG)", "S11", "angle", "deg"),
        ("S11 Log Mag(dB)", "S11", "magnitude", "dB"),
        ("re:Trc1_S11", "S11", "real", None),
        ("im:Trc1_S21", "S21", "imaginary", None),
        ("Re(S12)", "S12", "real", None),
        ("S(2,1) imag", "S21", "imaginary", None),
        ("s_11_re", "S11", "real", None),
        ("|S22|", "S22", "magnitude", None),
        ("S11 Phase [\u00b0]", "S11", "angle", "deg"),
        ("arg(S11)/rad", "S11", "angle", "rad"),
        ("S11 lin. mag", "S11", "magnitude", "1"),
        ("S11", "S11", None, None),
        ("S11 dB mag", "S11", "magnitude", "dB"),
    ],
)
def test_titles(text: str, place: str, part: str, unit: str) -> None:
    found = scattering_title(text)
    assert found is not None
    assert (found.place, found.part, found.unit) == (place, part, unit)


@pytest.mark.parametrize("text", ["Rs [ohm]", "Ls", "Hours11", "S111 dB", "S31 re", "Status", "Z21"])
def test_others(text: str) -> None:
    assert scattering_title(text) is None
