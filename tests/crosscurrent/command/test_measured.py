"""The command `measured`: what was recognised first, then the comparison; its folder; what it refuses."""

import json
from pathlib import Path

import pytest

from crosscurrent.__main__ import main

CASES = Path(__file__).resolve().parents[3] / "cases"
CASE, BENCH = str(CASES / "feed-measured.toml"), str(CASES / "feed-measured.csv")


def test_recognised_first_then_the_answer(tmp_path, capsys: pytest.CaptureFixture[str]) -> None:
    """With so few rows that no causes are looked for."""
    lines = Path(BENCH).read_text(encoding="utf-8").splitlines()
    short = tmp_path / "bench.csv"
    short.write_text("\n".join([*lines[:5], *lines[5::6]]), encoding="utf-8")
    assert main(["measured", CASE, str(short), "--out", str(tmp_path / "bench")]) == 0
    said = capsys.readouterr().out
    first, rest = said.split("Measured and calculated", 1)
    assert "columns parted by semicolons, decimal comma, 4 rows" in first
    assert "column 2 series resistance [mohm]" in first
    assert "columns parted" not in rest
    assert "R and L are off by more than meter" in rest
    assert "never measure live parts" in rest
    kept = json.loads((tmp_path / "bench" / "measured.json").read_text(encoding="utf-8"))
    assert len(kept["points"]) == 4
    assert (tmp_path / "bench" / "pictures" / "measured.png").is_file()
    assert (tmp_path / "bench" / "measured.csv").is_file()


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("1000,1,2\n", "three columns without titles, which may be R and L, R and X, or |Z| and phase"),
        ("f [Hz],Z [ohm],phase\n1000,1,1\n", 'write phase = "deg" or phase = "rad"'),
    ],
)
def test_what_it_refuses(tmp_path, capsys: pytest.CaptureFixture[str], text: str, message: str) -> None:
    path = tmp_path / "bench.csv"
    path.write_text(text, encoding="utf-8")
    assert main(["measured", CASE, str(path)]) == 2
    assert message in capsys.readouterr().err
    assert main(["measured", CASE, str(tmp_path / "gone.csv")]) == 2
