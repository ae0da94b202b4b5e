"""What [measured] makes of its files: corrections, uncertainties, doubts; what is wrong with it."""

import math
from pathlib import Path

import numpy as np
import pytest
from topic_cases import tubes

from crosscurrent.casefile.case import checked_case
from crosscurrent.casefile.faults import CaseError
from crosscurrent.casefile.measured import measured_run
from crosscurrent.casefile.tables.measured import MeasuredTable
from crosscurrent.meter_files.meter_file import MeterFileError

F = np.geomspace(1e3, 1e6, 7)
W = 2 * np.pi * F
PART = 1e-3 * np.sqrt(F / 1e3) + 1j * W * 1e-6
LEADS, STRAY = 4e-3 + 1j * W * 90e-9, 1j * W * 40e-12


def written(folder: Path, name: str, z: np.ndarray) -> None:
    rows = (f"{f:.17g},{v.real:.17g},{v.imag:.17g}" for f, v in zip(F, z, strict=True))
    (folder / name).write_text("f [Hz],R [ohm],X [ohm]\n" + "\n".join(rows), encoding="utf-8")


def read(folder: Path, **said):
    return measured_run(MeasuredTable.model_validate({"file": "bench.csv", **said}), folder, 2.0, 25.0)


def test_open_and_short_are_taken_off(tmp_path) -> None:
    written(tmp_path, "bench.csv", 1 / (STRAY + 1 / (LEADS + PART)))
    written(tmp_path, "open.csv", 1 / (STRAY + 1e-12))
    written(tmp_path, "short.csv", 1 / (STRAY + 1 / LEADS))
    found = read(tmp_path, open="open.csv", short="short.csv", accuracy={"impedance": "0.1 %"})
    assert found.reading.impedance == pytest.approx(PART, rel=1e-8)
    assert "open and short taken off in two steps" in found.recognised[-1]
    assert sorted(found.texts) == ["bench.csv", "open.csv", "short.csv"]
    # the bounds of the meter are those of what it saw, leads included
    seen = np.abs(1 / (STRAY + 1 / (LEADS + PART)))
    assert found.reading.gain * np.abs(PART) * math.sqrt(3) == pytest.approx(1e-3 * seen, rel=1e-6)


@pytest.mark.parametrize("key", ["open", "short"])
@pytest.mark.filterwarnings("error")
def test_a_fixture_that_is_the_measurement_itself_leaves_no_part(tmp_path, key: str) -> None:
    written(tmp_path, "bench.csv", PART)
    with pytest.raises(MeterFileError, match="an impedance left of the part, found none at 1 kHz"):
        read(tmp_path, **{key: "bench.csv"})


def test_leads_as_stated_are_taken_off(tmp_path) -> None:
    written(tmp_path, "bench.csv", LEADS + PART)
    found = read(tmp_path, lead_resistance="4 mohm", lead_inductance="90 nH")
    assert found.reading.impedance == pytest.approx(PART, rel=1e-9)
    assert found.recognised[-1] == "leads taken off as stated: 4 mohm and 90 nH"


def test_length_temperature_and_ranges(tmp_path) -> None:
    written(tmp_path, "bench.csv", PART)
    sheet = [{"to": "10 kHz", "impedance": "0.1 %", "floor": "2 uohm"}, {"impedance": "1 %"}]
    found = read(tmp_path, accuracy=sheet, joints=2).reading
    assert (found.length, found.temperature, found.joints) == (2.0, 25.0, 2)
    assert found.ranges.tolist() == [0, 0, 0, 1, 1, 1, 1]
    assert found.gain[[0, -1]] * math.sqrt(3) == pytest.approx([1e-3, 1e-2])
    other = read(tmp_path, length="1.5 m", temperature="22 degC", accuracy=sheet).reading
    assert (other.length, other.temperature) == (1.5, 22.0)


def test_what_is_doubtful_is_said(tmp_path) -> None:
    written(tmp_path, "bench.csv", PART - 1.5e-3 - 3e-6j * W)
    said = " ".join(read(tmp_path).warnings)
    assert "the accuracy of the meter is not stated: 1 % of the impedance is taken" in said
    assert "the measured resistance is not above 0 at 1 of 7 frequencies, the first 1 kHz" in said
    assert "the measured reactance is negative from 1 kHz on" in said
    written(tmp_path, "bench.csv", PART - 8e-6j * W * (F < 2e3))
    assert "reactance is negative at 1 of 7 frequencies, the first 1 kHz" in " ".join(read(tmp_path).warnings)
    assert "no floor" not in said
    assert "no floor of the meter is stated" in " ".join(read(tmp_path, accuracy={"impedance": "1 %"}).warnings)
    stated = read(tmp_path, accuracy={"impedance": "1 %", "floor": "1 uohm"})
    assert "no floor" not in " ".join(stated.warnings)


def test_a_fixture_must_hold_the_band(tmp_path) -> None:
    written(tmp_path, "bench.csv", PART)
    (tmp_path / "short.csv").write_text("f [Hz],R [ohm],X [ohm]\n2000,1,1\n9e6,1,1\n", encoding="utf-8")
    with pytest.raises(MeterFileError) as caught:
        read(tmp_path, short="short.csv")
    assert caught.value.key == "short"
    assert "expected the band of the measurement, 1 kHz to 1 MHz, found 2 kHz to 9 MHz" in str(caught.value)


def test_accuracy_must_reach_as_far(tmp_path) -> None:
    written(tmp_path, "bench.csv", PART)
    with pytest.raises(MeterFileError, match="expected frequencies up to 100 kHz, where accuracy ends, found 1 MHz"):
        read(tmp_path, accuracy=[{"to": "100 kHz", "impedance": "0.1 %"}])


@pytest.mark.parametrize(
    ("said", "without", "message"),
    [
        ({"circuit": "fed"}, "", 'expected the name of a circuit, found "fed"; did you mean "feed"?'),
        ({}, "length", 'expected the length of the run that was measured, found none; write length = "2.4 m"'),
        ({"file": "gone.csv"}, "", "expected in gone.csv: a file of a meter, found no such file"),
        ({"find_leads": ["resistance"], "lead_resistance": "1 mohm"}, "", "expected the resistance of the leads"),
        ({"accuracy": [{"impedance": "1 %"}, {"impedance": "2 %"}]}, "", "expected ranges of accuracy that end"),
        ({"accuracy": [{"impedance": "1 %", "to": "2 kHz"}, {"impedance": "2 %", "to": "1 kHz"}]}, "",
         "expected ranges of accuracy with rising ends, found 2 kHz, 1 kHz"),
    ],
)  # fmt: skip
def test_faults(said: dict[str, object], without: str, message: str) -> None:
    case = {key: table for key, table in tubes(measured=said).items() if key != without}
    with pytest.raises(CaseError) as caught:
        checked_case(case)
    assert message in str(caught.value)


def test_round_an_axis_there_is_no_length() -> None:
    ring = {"name": "ring", "shape": "round", "diameter": "6 mm", "centre": ["50 mm", "0 mm"], "material": "copper"}
    coil = {"name": "work", "current": "1 A", "turns": ["ring"]}
    case = {"symmetry": "axial", "frequency": {"at": ["1 kHz"]}, "conductor": [ring], "coil": [coil]}
    with pytest.raises(CaseError, match="expected no length round an axis, found one; leave it out"):
        checked_case({**case, "measured": {"length": "1 m"}})
    assert checked_case({**case, "measured": {}}).data.measured is not None
