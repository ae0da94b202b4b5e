"""Without scikit-rf, which extra to install."""

import sys

import pytest

from crosscurrent.extras import MissingExtra
from crosscurrent.meter_files.read import read_meter_file


def test_the_extra_is_named(tmp_path, monkeypatch) -> None:
    monkeypatch.setitem(sys.modules, "skrf", None)
    path = tmp_path / "bench.s1p"
    path.write_text("# Hz S RI R 50\n1000 0 0\n", encoding="utf-8")
    with pytest.raises(MissingExtra, match=r'skrf is not installed: pip install "crosscurrent\[meter\]"'):
        read_meter_file(path)
