"""The file of a magnetisation curve: read beside the case, anew where it changed, or a fault of the file."""

from __future__ import annotations

from pathlib import Path

import pytest

from crosscurrent.casefile.curves import curve_from
from crosscurrent.solver.metals.magnetisation_table import CurveError

GOOD = "H [A/m], B [T]\n0, 0\n100, 0.1\n300, 0.9\n2000, 1.5\n"


def test_a_changed_file_is_read_anew(tmp_path: Path) -> None:
    file = tmp_path / "curve.csv"
    file.write_text(GOOD, encoding="utf-8")
    assert curve_from(str(file)).flux == (0.1, 0.9, 1.5)
    file.write_text(GOOD.replace("1.5", "1.55"), encoding="utf-8")
    assert curve_from(str(file)).flux == (0.1, 0.9, 1.55)


@pytest.mark.parametrize(
    ("name", "content", "message"),
    [
        ("curve.csv", None, "curve.csv: expected a file beside the case file, found no such file"),
        ("curve.csv", b"\xff\xfe\xb0", "curve.csv: expected a file beside the case file, found one that cannot be"),
        ("", None, "expected a file, found a folder"),
        ("curve.csv", b"x" * 1_000_001, "curve.csv: expected a file of at most 1 MB"),
        ("curve.csv", b"", "curve.csv: expected a line"),
    ],
)
def test_faults(tmp_path: Path, name: str, content: bytes | None, message: str) -> None:
    if content is not None:
        (tmp_path / name).write_bytes(content)
    with pytest.raises(CurveError) as caught:
        curve_from(str(tmp_path / name))
    assert message in str(caught.value)
