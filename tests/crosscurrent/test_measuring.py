"""A file laid over a case in Python: what it is told, what is left in a folder."""

from pathlib import Path

from crosscurrent.measuring import lay_over, write_measured

CASES = Path(__file__).resolve().parents[2] / "cases"


def test_told_before_anything_is_calculated(tmp_path) -> None:
    order = []
    found = lay_over(CASES / "feed-measured.toml", CASES / "feed-measured.csv", told=order.append,
                     progress=lambda what, _: order.append(what))  # fmt: skip
    assert [line.startswith("feed-measured.csv") for line in order[:3]] == [True, True, True]
    assert "mesh for the band" in order[3]
    write_measured(found, tmp_path / "bench")
    left = {p.name for p in (tmp_path / "bench").iterdir()}
    assert left == {"contents.txt", "measured.csv", "measured.json", "pictures"}
