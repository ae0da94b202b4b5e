"""The table of outlines from files: areas without holes, the hash cut short in print alone."""

from __future__ import annotations

import math

import pytest

from crosscurrent.geometries.plane.shapes import round_bar, tube
from crosscurrent.postprocess.topics.files import OutlinesAnswer, record, table


def test_outlines_of_a_file() -> None:
    found = [OutlinesAnswer("profile", "p.dxf", "0", (tube(0.02, 0.002), round_bar(0.01)), "abcdef" * 10)]
    row = record(found)["profile"]
    assert row["area_m2"] == pytest.approx(math.pi / 4 * (20**2 - 16**2 + 10**2) * 1e-6)
    assert (row["outlines"], row["holes"], row["sha256"]) == (2, 1, "abcdef" * 10)
    assert table(found).rows[0][:5] == ("profile", "p.dxf", "0", "2", "1")
    assert table(found).rows[0][6] == "abcdefabcdef"
