"""Touchstone files of both versions: written by scikit-rf or by hand as the standard says, read back."""

import pickle
from pathlib import Path

import numpy as np
import pytest

from crosscurrent.meter_files.columns import StatedColumns
from crosscurrent.meter_files.meter_file import MeterFileError
from crosscurrent.meter_files.read import read_meter_file

rf = pytest.importorskip("skrf", reason='scikit-rf is not installed: pip install "crosscurrent[meter]"')
F = np.geomspace(1e4, 1e7, 13)
Z = 0.02 * np.sqrt(F / 1e4) + 2j * np.pi * F * 1.2e-6


def hung(connection):
    return StatedColumns(connection=connection)


def line():
    return rf.media.DefinedGammaZ0(rf.Frequency.from_f(F, unit="Hz"), z0_port=50, z0=50)


def network(connection):
    if connection == "one-port":
        return rf.Network(f=F, f_unit="Hz", s=(Z - 50) / (Z + 50), z0=50)
    part = line().resistor(Z) if connection == "series-through" else line().shunt(rf.Network(
        f=F, f_unit="Hz", s=(Z - 50) / (Z + 50), z0=50))
    return part


@pytest.mark.parametrize("connection", ["one-port", "series-through", "shunt-through"])
@pytest.mark.parametrize("form", ["ri", "ma", "db"])
def test_files_of_scikit_rf_are_read_back(tmp_path, connection: str, form: str) -> None:
    network(connection).write_touchstone("bench", str(tmp_path), form=form)
    path = next(tmp_path.iterdir())
    found = read_meter_file(path, hung(None if connection == "one-port" else connection))
    assert found.frequencies == pytest.approx(F)
    assert found.impedance == pytest.approx(Z, rel=1e-8)
    assert connection in found.recognised[0]


@pytest.mark.parametrize("form", ["V1", "V2"])
def test_files_by_hand(tmp_path, form: str) -> None:
    """The layouts of Touchstone File Format Specification 1.1 and 2.0 (EIA/IBIS Open Forum), from memory."""
    s = (Z - 50) / (Z + 50)
    rows = "".join(f"{f / 1e3:.12g} {abs(v):.15g} {np.degrees(np.angle(v)):.15g}\n" for f, v in zip(F, s, strict=True))
    text = f"! bench\n# kHz S MA R 50\n{rows}"
    if form == "V2":
        text = (
            "[Version] 2.0\n# kHz S MA R 50\n[Number of Ports] 1\n"
            f"[Number of Frequencies] {len(F)}\n[Reference] 50\n[Network Data]\n{rows}[End]\n"
        )
    path = tmp_path / ("bench.s1p" if form == "V1" else "bench.ts")
    path.write_text(text, encoding="utf-8")
    assert read_meter_file(path).impedance == pytest.approx(Z, rel=1e-10)


@pytest.mark.parametrize("version", [1, 2])
@pytest.mark.parametrize(("kind", "connection"), [("Z", "one-port"), ("Y", "one-port"), ("Y", "series-through"),
                                                  ("Z", "shunt-through")])  # fmt: skip
def test_impedances_and_admittances(tmp_path, kind: str, connection: str, version: int) -> None:
    """Over the reference resistance of 75 ohm in version 1, in ohms and siemens in version 2 (Touchstone 1.1, 2.0)."""
    ports = 1 if connection == "one-port" else 2
    # a series impedance has Y = [[1, -1], [-1, 1]] / Z, a shunt Z = [[1, 1], [1, 1]] Z (Pozar, table 4.1)
    sign = -1 if connection == "series-through" else 1
    values = (Z if kind == "Z" else 1 / Z) * ((1 / 75 if kind == "Z" else 75) if version == 1 else 1)
    rows = "".join(
        f"{f:.15g} " + " ".join(f"{s * v.real:.16g} {s * v.imag:.16g}" for s in [1, sign, sign, 1][: ports**2]) + "\n"
        for f, v in zip(F, values, strict=True)
    )
    text = f"! bench, S to Y\n# Hz {kind} RI R 75 ! {kind}\n{rows}"
    if version == 2:
        order = "[Two-Port Data Order] 12_21\n" if ports == 2 else ""
        text = (
            f"[Version] 2.0\n# Hz {kind} RI R 75\n[Number of Ports] {ports}\n{order}"
            f"[Number of Frequencies] {len(F)}\n[Reference]{ports * ' 75'}\n[Network Data]\n{rows}[End]\n"
        )
    path = tmp_path / (f"bench.s{ports}p" if version == 1 else "bench.ts")
    path.write_text(text, encoding="utf-8")
    found = read_meter_file(path, hung(None if ports == 1 else connection))
    assert found.impedance == pytest.approx(Z, rel=1e-9)
    assert {"Z": "impedances", "Y": "admittances"}[kind] in found.recognised[0]


HYBRID = {  # V1 = h11 I1 + h12 V2, I2 = h21 I1 + h22 V2; the inverse I1 = g11 V1 + g12 I2, V2 = g21 V1 + g22 I2
    ("H", "series-through"): lambda z: [[z, 1], [-1, 0 * z]],  # I2 = -I1, V1 = V2 + Z I1
    ("H", "shunt-through"): lambda z: [[0 * z, 1], [-1, 1 / z]],  # V1 = V2 = Z (I1 + I2)
    ("G", "series-through"): lambda z: [[0 * z, -1], [1, z]],
    ("G", "shunt-through"): lambda z: [[1 / z, -1], [1, 0 * z]],
}  # fmt: skip


@pytest.mark.parametrize("version", [1, 2])
@pytest.mark.parametrize(("kind", "connection"), HYBRID)
def test_hybrids(tmp_path, kind: str, connection: str, version: int) -> None:
    """By their definition; in version 1 impedances over 75 ohm, admittances times it (Touchstone 1.1, from memory)."""
    by = np.array([[75, 1], [1, 1 / 75]])[:: -1 if kind == "G" else 1, :: -1 if kind == "G" else 1]
    rows = ""
    for f, z in zip(F, Z, strict=True):
        (one, two), (three, four) = np.array(HYBRID[kind, connection](z)) / (by if version == 1 else 1)
        numbers = (one, three, two, four) if version == 1 else (one, two, three, four)
        rows += f"{f:.15g} " + " ".join(f"{v.real:.16g} {v.imag:.16g}" for v in numbers) + "\n"
    text, path = f"# Hz {kind} RI R 75\n{rows}", tmp_path / ("bench.s2p" if version == 1 else "bench.ts")
    if version == 2:
        text = (
            f"[Version] 2.0\n# Hz {kind} RI R 75\n[Number of Ports] 2\n[Two-Port Data Order] 12_21\n"
            f"[Number of Frequencies] {len(F)}\n[Reference] 75 75\n[Network Data]\n{rows}[End]\n"
        )
    path.write_text(text, encoding="utf-8")
    found = read_meter_file(path, hung(connection))
    assert found.impedance == pytest.approx(Z, rel=1e-9)
    assert {"H": ", hybrid parameters", "G": "inverse hybrid parameters"}[kind] in found.recognised[0]


def test_hybrids_have_two_ports(tmp_path) -> None:
    path = tmp_path / "bench.s1p"
    path.write_text("! bench\n# Hz H RI R 50\n1000 2 0\n", encoding="utf-8")
    with pytest.raises(MeterFileError, match="expected two ports for hybrid parameters, found one; save the sweep as"):
        read_meter_file(path)


def test_two_ports_are_asked_for(tmp_path) -> None:
    network("series-through").write_touchstone("bench", str(tmp_path))
    path = tmp_path / "bench.s2p"
    with pytest.raises(MeterFileError, match='write connection = "series-through" or') as caught:
        read_meter_file(path)
    assert caught.value.key == "connection"


def test_one_port_is_no_through(tmp_path) -> None:
    network("one-port").write_touchstone("bench", str(tmp_path))
    with pytest.raises(MeterFileError, match="expected two ports for shunt-through, found one"):
        read_meter_file(tmp_path / "bench.s1p", hung("shunt-through"))


@pytest.mark.parametrize("text", ["", "# Hz S RI R 50\n1000 x y\n", "nothing of the kind\n"])
def test_broken_files_say_so(tmp_path, text: str) -> None:
    path = tmp_path / "bench.s1p"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(MeterFileError, match=r"bench.s1p: expected (a Touchstone file|a file of one or two ports)"):
        read_meter_file(path)


def test_three_ports_are_told(tmp_path) -> None:
    rf.Network(f=F, f_unit="Hz", s=np.zeros((len(F), 3, 3)), z0=50).write_touchstone("bench", str(tmp_path))
    with pytest.raises(MeterFileError, match="expected a file of one or two ports, found 3 ports"):
        read_meter_file(tmp_path / "bench.s3p")


def test_unlike_ports_are_refused(tmp_path) -> None:
    other = network("series-through")
    other.renormalize([50, 75])
    other.write_touchstone("bench", str(tmp_path), r_ref=None, write_z0=True)
    with pytest.raises(MeterFileError):
        read_meter_file(tmp_path / "bench.s2p", hung("series-through"))


def test_a_direction_that_differs_is_said(tmp_path) -> None:
    part = network("series-through")
    s = part.s.copy()
    s[:, 0, 1] *= 1.1
    rf.Network(f=F, f_unit="Hz", s=s, z0=50).write_touchstone("bench", str(tmp_path))
    said = read_meter_file(tmp_path / "bench.s2p", hung("series-through")).recognised
    assert said[1] == "S12 differs from S21 by up to 10 %: S21 is read"


class Payload:
    """Writes a file when it is unpickled."""

    def __init__(self, mark: str) -> None:
        self.mark = mark

    def __reduce__(self):
        return Path.write_text, (Path(self.mark), "run")


def test_a_pickle_in_the_place_of_a_file_is_not_run(tmp_path) -> None:
    path, mark = tmp_path / "bench.s1p", tmp_path / "mark"
    path.write_bytes(pickle.dumps(Payload(str(mark)), protocol=0))
    with pytest.raises(MeterFileError):
        read_meter_file(path)
    assert not mark.exists()


@pytest.mark.parametrize("reference", ["0", "-50"])
def test_a_reference_that_is_none_is_told(tmp_path, reference: str) -> None:
    path = tmp_path / "bench.s1p"
    path.write_text(f"# Hz S RI R {reference}\n1e6 0.5 0.1\n2e6 0.5 0.1\n", encoding="utf-8")
    with pytest.raises(MeterFileError, match=f"a reference impedance above 0 ohm, found {reference} ohm; write that"):
        read_meter_file(path)
