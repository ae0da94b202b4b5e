"""The file of samples that a case names: read beside it, or a fault at its key."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from crosscurrent.casefile.draft import Draft
from crosscurrent.casefile.lines import LineIndex
from crosscurrent.casefile.samples import file_faults, samples_of
from crosscurrent.casefile.tables.waveform import WaveformTable

GOOD = "time [us]; current [A]\n0; 0\n3; 10\n6; 0\n9; -10\n12; 0\n"
TEXT = 'title = "x"\n[waveform]\nfile = "bench.csv"\n'
TABLE = WaveformTable.model_validate({"file": "bench.csv", "frequency": f"{1e3 / 12!r} kHz"})


def faults(folder: Path) -> list[str]:
    written = {"waveform": {"file": "bench.csv", "frequency": f"{1e3 / 12!r} kHz"}}
    return [str(fault) for fault in file_faults(Draft(written, LineIndex(TEXT)), folder)]


def test_a_triangle_is_read(tmp_path: Path) -> None:
    """Between straight lines, the rms of a triangle is its peak over the root of 3."""
    for text in (GOOD, "\ufeff" + GOOD):
        (tmp_path / "bench.csv").write_text(text, encoding="utf-8")
        found = samples_of(TABLE, tmp_path)
        assert found is not None
        assert found[0] == GOOD
        assert found[1].rms == pytest.approx(10 / math.sqrt(3))
    assert faults(tmp_path) == []


def test_no_table_and_no_file_are_no_samples(tmp_path: Path) -> None:
    harmonics = WaveformTable.model_validate({"harmonics": [{"frequency": "1 kHz", "current": "1 A"}]})
    assert samples_of(None, tmp_path) is None
    assert samples_of(harmonics, tmp_path) is None
    assert list(file_faults(Draft({}, None), tmp_path)) == []
    faulty = {"waveform": {"file": "bench.csv", "frequency": "12"}}  # its frequency is told, not what follows from it
    assert list(file_faults(Draft(faulty, None), tmp_path)) == []


@pytest.mark.parametrize(
    ("content", "found"),
    [
        (None, "bench.csv: a file beside the case file, found no such file; check its name"),
        (b"\xff\xfe\xb0", "bench.csv: a file beside the case file, found one that cannot be read as text"),
        (GOOD.replace("3; 10", "3,5; 10").encode(),
         'bench.csv, line 3: two numbers, time and current, found "3,5; 10"; write a decimal point'),
        (GOOD.replace("6; 0", "2; 0").encode(), "bench.csv, line 4: a time after 3e-06 s, found 2e-06 s"),
        (b"", "bench.csv: "),
    ],
)  # fmt: skip
def test_a_faulty_file_is_a_fault_at_its_key(tmp_path: Path, content: bytes | None, found: str) -> None:
    if content is not None:
        (tmp_path / "bench.csv").write_bytes(content)
    (fault,) = faults(tmp_path)
    assert fault.startswith(f"line 3, waveform, key file: expected in {found}")
