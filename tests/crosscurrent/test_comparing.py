"""Designs side by side: the lowest of each row, what differs, and the files that are left."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from crosscurrent.__main__ import main
from crosscurrent.cases.comparing import compare_cases
from crosscurrent.postprocess.comparison import Figure, Row

ROD = """
title = "Rod of {diameter}"
[frequency]
at = ["{frequency}"]
[[conductor]]
name = "rod"
shape = "round"
diameter = "{diameter}"
material = "copper"
[[circuit]]
name = "feed"
current = "100 A"
out = ["rod"]
"""


def rod(folder: Path, name: str, diameter: str, frequency: str = "0 Hz") -> Path:
    path = folder / f"{name}.toml"
    path.write_text(ROD.format(diameter=diameter, frequency=frequency), encoding="utf-8")
    return path


@pytest.fixture(scope="module")
def left(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("designs")
    cases = [rod(folder, "thin", "5 mm"), rod(folder, "thick", "10 mm")]
    assert main(["compare", *map(str, cases), "--out", str(folder / "both")]) == 0
    return folder / "both"


def test_a_rod_twice_as_thick_has_a_quarter_of_the_resistance(left: Path) -> None:
    data = json.loads((left / "comparison.json").read_text(encoding="utf-8"))
    row = next(row for row in data["rows"] if row["quantity"].startswith("R of feed"))
    thin, thick = row["values"]
    assert thin / thick == pytest.approx(4, rel=1e-9)
    assert row["best"] == ["thick"]


def test_the_difference_between_the_cases_is_named(left: Path) -> None:
    data = json.loads((left / "comparison.json").read_text(encoding="utf-8"))
    assert data["differences"] == {"conductor rod: diameter": ["5 mm", "10 mm"]}


def test_the_page_and_the_picture_are_there(left: Path) -> None:
    page = (left / "comparison.html").read_text(encoding="utf-8")
    assert "thin" in page
    assert page.count("data:image/png;base64,") == 1
    assert {p.name for p in (left / "pictures").iterdir()} == {
        "side-by-side-direct-current.png",
        "side-by-side-direct-current.svg",
    }
    assert (left / "comparison.csv").read_text(encoding="utf-8").startswith("quantity,unit,thin,thick,best")


def test_figures_of_different_questions_have_no_best(tmp_path: Path) -> None:
    """Temperatures at unlike frequencies, and inductances whose return lies elsewhere, as that of a lone rod."""
    paths = []
    for name, frequencies in (("low", '["50 Hz"]'), ("high", '["50 Hz", "10 kHz"]')):
        path = rod(tmp_path, name, "10 mm" if name == "low" else "12 mm", "50 Hz")
        text = path.read_text(encoding="utf-8").replace('["50 Hz"]', frequencies)
        path.write_text(f"{text}[cooling]\n", encoding="utf-8")
        paths.append(path)
    rows = {row.name: row for row in compare_cases(paths)[0].rows}
    assert rows["R of feed at 50 Hz"].best == (1,)
    assert next(row for name, row in rows.items() if name.startswith("L of feed at 50 Hz (returns at ")).best == ()
    assert rows["temperature (each at its own frequencies)"].best == ()


@pytest.mark.parametrize(
    ("frequencies", "message"),
    [
        (["0 Hz"], "expected 2 to 8 case files, found 1"),
        (["0 Hz", "50 Hz"], "expected a frequency that all cases share, found none; give all of them the same"),
    ],
)
def test_what_cannot_be_compared_is_said(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], frequencies: list[str], message: str
) -> None:
    cases = [str(rod(tmp_path, f"rod{k}", f"{k + 5} mm", f)) for k, f in enumerate(frequencies)]
    assert main(["compare", *cases, "--out", str(tmp_path / "out")]) == 2
    assert message in " ".join(capsys.readouterr().err.split())
    assert not (tmp_path / "out").exists()


def test_the_same_name_twice_is_told_apart(tmp_path: Path) -> None:
    one = rod(tmp_path, "rod", "5 mm")
    comparison, _ = compare_cases([one, one])
    assert [name.rpartition("/")[2] for name in comparison.names] == ["rod (1)", "rod (2)"]


def test_designs_that_the_error_bars_cannot_tell_apart_are_both_best() -> None:
    row = Row("loss", "W/m", (Figure(100.0, 1.0), Figure(101.5, 1.0), Figure(110.0, 1.0), None))
    assert row.best == (0, 1)
    assert Row("loss", "W/m", (Figure(100.0, 1.0), Figure(100.5, 1.0))).best == ()
