"""A file laid over a case in Python: what it is told, what is left in a folder."""

from pathlib import Path

from crosscurrent.measuring import lay_over, write_measured

CASES = Path(__file__).resolve().parents[2] / "cases"


def test_told_before_anything_is_calculated(tmp_path) -> None:
    """With so few rows that no causes are looked for."""
    order = []
    short = tmp_path / "feed-measured.csv"
    lines = (CASES / "feed-measured.csv").read_text(encoding="utf-8").splitlines()
    short.write_text("\n".join([*lines[:5], *lines[5::6]]), encoding="utf-8")
    found = lay_over(CASES / "feed-measured.toml", short, told=order.append,
                     progress=lambda what, _: order.append(what))  # fmt: skip
    assert [line.startswith("feed-measured.csv") for line in order[:3]] == [True, True, True]
    assert "mesh for the band" in order[3]
    write_measured(found, tmp_path / "bench")
    left = {p.name for p in (tmp_path / "bench").iterdir()}
    assert left == {"contents.txt", "measured.csv", "measured.json", "pictures"}
