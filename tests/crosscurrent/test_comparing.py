"""Designs side by side: the lowest of each row, what differs, and the files that are left."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from crosscurrent.__main__ import main
from crosscurrent.comparing import compare_cases

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
    assert row["best"] == ["Rod of 10 mm"]


def test_the_difference_between_the_cases_is_named(left: Path) -> None:
    data = json.loads((left / "comparison.json").read_text(encoding="utf-8"))
    assert data["differences"] == {"conductor rod: diameter": ["5 mm", "10 mm"]}


def test_the_page_and_the_picture_are_there(left: Path) -> None:
    page = (left / "comparison.html").read_text(encoding="utf-8")
    assert "best in loss, R of feed: Rod of 10 mm." in page
    assert page.count("data:image/png;base64,") == 1
    assert {p.name for p in (left / "pictures").iterdir()} == {
        "side-by-side-direct-current.png",
        "side-by-side-direct-current.svg",
    }
    table = (left / "comparison.csv").read_text(encoding="utf-8")
    assert table.startswith("quantity,unit,Rod of 5 mm,Rod of 10 mm,best")


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


def test_the_same_title_twice_is_told_apart(tmp_path: Path) -> None:
    one = rod(tmp_path, "rod", "5 mm")
    comparison, _ = compare_cases([one, one])
    assert comparison.names == ("rod (1)", "rod (2)")


def judged(folder: Path, name: str, diameter: str, more: str = "") -> Path:
    """A rod in air at 50 Hz, with 2 W/m as its limit and a price."""
    path = rod(folder, name, diameter, "50 Hz")
    path.write_text(f'{path.read_text(encoding="utf-8")}\n{more}', encoding="utf-8")
    return path


def test_designs_that_fail_or_run_away_have_no_mark(tmp_path: Path) -> None:
    """100 A in rods of 20, 10, 4 and 1 mm: 0.6, 2.2, 13.7 and 220 W/m; the last has no stable temperature in air."""
    limits, price = '[limits]\nloss = "5 W/m"\n', '[prices]\ncopper = "9 EUR/kg"\n'
    paths = [
        judged(tmp_path, "thick", "20 mm", limits + price),
        judged(tmp_path, "middle", "10 mm", limits),
        judged(tmp_path, "thin", "4 mm", limits + price),
        judged(tmp_path, "wire", "1 mm", "[cooling]\n"),
    ]
    comparison, _ = compare_cases(paths)
    assert [v.standing for v in comparison.verdicts] == ["pass", "pass", "fail", "fail"]
    assert "13.72 W/m" in comparison.verdicts[2].why
    assert "no stable temperature" in comparison.verdicts[3].why
    rows = {row.name: row for row in comparison.rows}
    assert rows["loss of everything at 50 Hz"].best == (0,)
    assert all(not {2, 3}.intersection(row.best) for row in comparison.rows)
    assert rows["cost"].best == ()  # no price in the second
    assert any(text.startswith("unlike [prices]") for text in comparison.sentences)


def test_a_design_that_cannot_be_judged_says_so(tmp_path: Path) -> None:
    paths = [judged(tmp_path, name, size, '[limits]\nvoltage_drop = "1 V"\n') for name, size in
             (("thick", "20 mm"), ("thin", "10 mm"))]  # fmt: skip
    comparison, _ = compare_cases(paths)
    assert {v.standing for v in comparison.verdicts} == {"cannot tell"}
    assert next(row for row in comparison.rows if row.name.startswith("R of feed")).best == (0,)
    assert sum("may stay or not" in text for text in comparison.sentences) == 2


TURN = """
title = "{title}"
symmetry = "axial"
frequency = {{ at = ["0 Hz"] }}
[[conductor]]
name = "rod"
shape = "round"
diameter = "{diameter}"
centre = ["50 mm", "0 mm"]
material = "copper"
[[circuit]]
name = "feed"
current = "10 A"
out = ["rod"]
"""


def turn(folder: Path, title: str, diameter: str) -> str:
    path = folder / f"{title}.toml"
    path.write_text(TURN.format(title=title, diameter=diameter), encoding="utf-8")
    return str(path)


def test_turns_are_compared_all_round(tmp_path: Path) -> None:
    paths = [turn(tmp_path, title, diameter) for title, diameter in (("thin", "5 mm"), ("thick", "10 mm"))]
    assert main(["compare", *paths, "--out", str(tmp_path / "out")]) == 0
    found = json.loads((tmp_path / "out" / "comparison.json").read_text())
    units = {row["quantity"]: row["unit"] for row in found["rows"]}
    assert units["R of feed at direct current"] == "ohm"
    assert units["largest axial force on a turn or piece at direct current (time average)"] == "N"
    page = (tmp_path / "out" / "comparison.html").read_text()
    assert "all round the axis, rms" in page
    assert "per metre" not in page


def test_a_turn_is_not_compared_with_a_straight_run(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    paths = [turn(tmp_path, "turn", "5 mm"), str(rod(tmp_path, "rod", "5 mm"))]
    assert main(["compare", *paths, "--out", str(tmp_path / "out")]) == 2
    said = " ".join(capsys.readouterr().err.split())
    assert "expected cases that are all straight runs, or all round an axis, found turn.toml round an axis" in said
    assert not (tmp_path / "out").exists()


def test_cases_of_one_title_go_by_the_names_of_their_files(tmp_path: Path) -> None:
    paths = [rod(tmp_path, "thin", "5 mm"), rod(tmp_path, "thick", "5 mm"), rod(tmp_path, "other", "8 mm")]
    assert compare_cases(paths)[0].names == ("thin", "thick", "Rod of 8 mm")
