"""Files in the manner of many meters: each is written from one impedance and read back."""

import numpy as np
import pytest

from crosscurrent.meter_files.columns import StatedColumns
from crosscurrent.meter_files.read import read_meter_file

F = np.array([100.0, 1e3, 1e4, 1e5])
Z = np.array([0.52e-3, 0.61e-3, 1.4e-3, 4.3e-3]) + 2j * np.pi * F * np.array([1.31e-6, 1.28e-6, 1.2e-6, 1.17e-6])
W, R, X, L, Q = 2 * np.pi * F, Z.real, Z.imag, Z.imag / (2 * np.pi * F), Z.imag / Z.real
RP, LP = 1 / (1 / Z).real, -1 / (W * (1 / Z).imag)
DEG = np.degrees(np.angle(Z))


def table(head, *columns, sign=",", comma=False, tail=""):
    rows = [sign.join(f"{v:.12g}" for v in row) for row in zip(*columns, strict=True)]
    text = "\n".join(rows)
    return head + (text.replace(".", ",") if comma else text) + tail


FILES = {
    "titles with units": table("Frequency [Hz],Rs [ohm],Ls [H]\n", F, R, L),
    "milliohms, microhenries": table("f (kHz),R (mOhm),L (µH)\n", F / 1e3, 1e3 * R, 1e6 * L),
    "semicolons and decimal commas": table("Frequenz [kHz];Rs [mΩ];Ls [nH]\n", F / 1e3, 1e3 * R, 1e9 * L, sign=";",
                                           comma=True),
    "tabs": table("freq_Hz\tRs_mohm\tXs_mohm\n", F, 1e3 * R, 1e3 * X, sign="\t"),
    "spaces": table("# f_Hz R_ohm X_ohm\n", F, R, X, sign=" "),
    "spaces and decimal commas": table("", F, R, L, sign="  ", comma=True),
    "magnitude and degrees": table("FREQUENCY,|Z| (ohm),THETA (deg)\n", F, abs(Z), DEG),
    "magnitude and radians": table("Freq. [Hz],Z [Ohm],phase [rad]\n", F, abs(Z), np.radians(DEG)),
    "degrees that only their size tells": table("Frequency (Hz),Z (Ohm),Phase\n", F, abs(Z), DEG),
    "inductance and Q": table("f/Hz,Ls/uH,Q\n", F, 1e6 * L, Q),
    "inductance and D": table("Frequency (Hz);Ls (uH);D\n", F, 1e6 * L, 1 / Q, sign=";"),
    "resistance and Q": table("Frequency (Hz);Rs (mOhm);Q\n", F, 1e3 * R, Q, sign=";"),
    "parallel equivalents": table("Frequency [Hz],Lp [uH],Rp [ohm]\n", F, 1e6 * LP, RP),
    "parallel inductance and Q": table("Frequency [Hz],Lp [uH],Q\n", F, 1e6 * LP, Q),
    "preamble": table("Instrument;bench bridge\nDate;12.05.2025 10:14:00\nLevel;1 V\n\nFrequency;Rs;Ls\nHz;mOhm;uH\n",
                      F, 1e3 * R, 1e6 * L, sign=";"),
    "byte order mark": "\ufeff" + table("Frequency(Hz),Rs(Ohm),Ls(H)\r\n", F, R, L).replace("\n", "\r\n"),
    "quoted": table('"Frequency (Hz)","Rs (Ohm)","Xs (Ohm)"\n', F, R, X),
    "falling": table("f [Hz],Rs [ohm],Ls [H]\n", F[::-1], R[::-1], L[::-1]),
    "more columns than needed": table("No,f [Hz],Rs [ohm],Ls [H],Q,Status\n", range(4), F, R, L, Q, [0] * 4),
    "overload and a trailing comma": table("f [Hz],Rs [ohm],Ls [H]\n", F, R, L, tail="\n1000000,9.9E37,OL").replace(
        "\n", ",\n") + ",",
    "SI without units": table("Frequency,ESR,L\n", F, R, L),
    "comments behind": table("f [Hz],Re(Z) [ohm],Im(Z) [ohm]\n", F, R, X, tail="\n# end of sweep\n"),
}
SAID = {
    "spaces and decimal commas": StatedColumns(("f [Hz]", "Rs [ohm]", "Ls [H]")),
}


@pytest.mark.parametrize("name", FILES)
def test_files_are_read_back(tmp_path, name: str) -> None:
    path = tmp_path / "bench.csv"
    path.write_text(FILES[name], encoding="utf-8", newline="")
    found = read_meter_file(path, SAID.get(name))
    assert found.frequencies == pytest.approx(F, rel=1e-11)
    assert found.impedance.real == pytest.approx(R, rel=1e-8)
    assert found.impedance.imag == pytest.approx(X, rel=1e-10)
    assert any("frequency" in line for line in found.recognised)


@pytest.mark.parametrize("coding", ["utf-16", "cp1252"])
def test_other_codings_are_read_back(tmp_path, coding: str) -> None:
    path = tmp_path / "bench.csv"
    path.write_bytes(table("f [Hz];Z [mOhm];Phase [°]\n", F, 1e3 * abs(Z), DEG, sign=";", comma=True).encode(coding))
    assert read_meter_file(path).impedance == pytest.approx(Z, rel=1e-9)


def test_what_was_recognised_is_said(tmp_path) -> None:
    path = tmp_path / "bench.csv"
    path.write_text(FILES["more columns than needed"], encoding="utf-8")
    assert read_meter_file(path).recognised == (
        "columns parted by commas, decimal point, 4 rows",
        "column 2 frequency [Hz], column 3 series resistance [ohm], column 4 series inductance [H]; "
        'not read: "No", "Q", "Status"',
        "100 Hz to 100 kHz",
    )
    path.write_text(FILES["overload and a trailing comma"], encoding="utf-8")
    assert "1 row without frequency or impedance above 0 left out" in read_meter_file(path).recognised[-1]
    path.write_text(FILES["SI without units"], encoding="utf-8")
    said = "column 3 inductance [H], as no unit stands there, taken as series equivalent"
    assert said in read_meter_file(path).recognised[1]
