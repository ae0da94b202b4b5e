"""CSV files in the manner of network analysers, from one impedance by the definition of S11 and S21, read back."""

import numpy as np
import pytest

from crosscurrent.meter_files.columns import StatedColumns
from crosscurrent.meter_files.meter_file import MeterFileError
from crosscurrent.meter_files.read import read_meter_file

F = np.geomspace(1e4, 1e7, 7)
Z = 0.02 * np.sqrt(F / 1e4) + 2j * np.pi * F * 1.2e-6
S11 = (Z - 50) / (Z + 50)
SERIES = 100 / (100 + Z)  # S21 of Z between two ports of 50 ohm (Pozar, tables 4.1 and 4.2, from memory)
SHUNT = 2 * Z / (2 * Z + 50)
RADIANS = StatedColumns(phase="rad")


def table(head, *columns, sign=","):
    return head + "\n" + "\n".join(sign.join(f"{v:.15g}" for v in row) for row in zip(*columns, strict=True))


def db(s):
    return 20 * np.log10(abs(s))


def deg(s):
    return np.degrees(np.angle(s))


FILES = {
    "real and imaginary": (table("Freq(Hz),S11 Re,S11 Im", F, S11.real, S11.imag), StatedColumns()),
    "decibels and degrees": (table("! sweep\nfreq[MHz];S11(DB);S11(DEG)", F / 1e6, db(S11), deg(S11), sign=";"),
                             StatedColumns()),
    "decibels that only their sign tells": (table("f [Hz],|S11|,S11 phase", F, db(S11), deg(S11)), StatedColumns()),
    "magnitudes that only their size tells": (table("f [Hz],S11 mag,ang(S11) [rad]", F, abs(S11), np.angle(S11)),
                                              StatedColumns()),
    "an angle that is stated": (table("f [Hz],S11 mag,S11 phase", F, abs(S11), np.angle(S11)), RADIANS),
    "more than is needed": (table("f [Hz],S11 dB,S11 deg,VSWR", F, db(S11), deg(S11), F), StatedColumns()),
    "stated titles": (table("a,b,c", F, S11.real, S11.imag), StatedColumns(("f [Hz]", "S11 re", "S11 im"))),
    "75 ohm": (table("f [Hz],re:Trc1_S11,im:Trc1_S11", F, *(part((Z - 75) / (Z + 75)) for part in (np.real, np.imag))),
               StatedColumns(reference=75.0)),
    "in series": (table("f [Hz],Re(S21),Im(S21)", F, SERIES.real, SERIES.imag),
                  StatedColumns(connection="series-through")),
    "to ground": (table("f [Hz],S11 dB,S11 deg,S21 dB,S21 deg", F, db(S11), deg(S11), db(SHUNT), deg(SHUNT)),
                  StatedColumns(connection="shunt-through")),
}  # fmt: skip


@pytest.mark.parametrize("name", FILES)
def test_files_are_read_back(tmp_path, name: str) -> None:
    text, stated = FILES[name]
    path = tmp_path / "sweep.csv"
    path.write_text(text, encoding="utf-8")
    found = read_meter_file(path, stated)
    assert found.frequencies == pytest.approx(F)
    assert found.impedance == pytest.approx(Z, rel=1e-9)
    at = "75 ohm," if stated.reference else "50 ohm, as nothing else is said,"
    assert found.recognised[2] == f"scattering parameters at {at} {stated.connection or 'one-port'}"


def test_what_was_recognised_is_said(tmp_path) -> None:
    path = tmp_path / "sweep.csv"
    path.write_text(FILES["decibels that only their sign tells"][0], encoding="utf-8")
    said = "column 1 frequency [Hz], column 2 magnitude of S11 [dB], column 3 angle of S11 [deg]"
    assert read_meter_file(path).recognised[1] == said


@pytest.mark.parametrize(
    ("text", "stated", "key", "message"),
    [
        ("f [Hz],S11 dB\n1000,-1\n", StatedColumns(), "columns", 'line 1: expected one real and one imaginary part, or '
         'one magnitude and one angle, of S11, found "S11 dB"; say what the columns are: columns ='),
        ("f [Hz],S11,S11\n1000,0,1\n", StatedColumns(), "columns", 'found "S11", "S11"'),
        ("f [Hz],S11 mag,S11 phase\n1000,0.5,1\n", StatedColumns(), "phase", 'expected a unit of the angle, found '
         '"S11 phase" with angles up to 1, which may be degrees or radians; write phase = "deg" or phase = "rad"'),
        ("f [Hz],S11 mag,S11 deg\n1000,3,1\n", StatedColumns(), "columns", 'found "S11 mag" up to 3, which is neither'),
        ("f [Hz],S21 re,S21 im\n1000,0,1\n", StatedColumns(), "connection", "expected how the part was connected"),
        ("f [Hz],S11 re,S11 im\n1000,0,1\n", StatedColumns(connection="series-through"), "connection",
         "expected two ports for series-through, found one"),
        ("f [Hz],S22 re,S22 im\n1000,0,1\n", StatedColumns(connection="series-through"), "columns", "of S21, found"),
        ("1000,0,1\n", StatedColumns(("f [Hz]", "S11 re", "nothing")), "columns", 'found "nothing"'),
    ],
)  # fmt: skip
def test_faulty_files_say_which_key(tmp_path, text: str, stated: StatedColumns, key: str, message: str) -> None:
    path = tmp_path / "sweep.csv"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(MeterFileError) as caught:
        read_meter_file(path, stated)
    assert caught.value.key == key
    assert message in str(caught.value)
