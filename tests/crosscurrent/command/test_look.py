"""The command `look`: what a drawing or a mesh holds, and a case started from it."""

from __future__ import annotations

import math
import tomllib
from pathlib import Path

import pytest
from drawn_files import GRID, grid_triangles, save, write_mesh
from varied_case import CASE

from crosscurrent.__main__ import main
from crosscurrent.casefile.faults import CaseError
from crosscurrent.casefile.reader import read_case
from crosscurrent.command.look_output import Seen, case_from, open_file, show
from crosscurrent.geometries.errors import DrawingError
from crosscurrent.geometries.plane.shapes import outline, round_bar


def test_look_shows_what_is_there_and_starts_a_case(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    save(tmp_path)
    file, picture, new = (str(tmp_path / name) for name in ("bars.dxf", "bars.png", "new.toml"))
    assert main(["look", file, "--picture", picture, "--case", new]) == 0
    out = capsys.readouterr().out
    assert "20 x 3" in out
    assert "0.787402 x 0.11811" in out
    assert "Left out of layer pair: 1 x TEXT" in out
    assert Path(picture).read_bytes().startswith(b"\x89PNG")
    text = Path(new).read_text(encoding="utf-8")
    # the odd bar lies on the first of the pair: the case says so
    with pytest.raises(CaseError, match=r'conductors "odd" and "pair.1" overlap'):
        read_case(Path(new))
    Path(new).write_text(text.replace('["0 mm", "0 mm"]', '["0 mm", "-10 mm"]', 1))
    assert [c.name for c in read_case(Path(new)).problem().conductors] == ["odd", "pair.1", "pair.2"]
    assert main(["look", file, "--case", new]) == 2
    assert "there is such a file already" in capsys.readouterr().err


def test_look_at_a_file_without_unit_asks(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    save(tmp_path, units=0)
    file, new = str(tmp_path / "bars.dxf"), str(tmp_path / "new.toml")
    assert main(["look", file]) == 0
    assert "does not say its unit" in capsys.readouterr().out
    assert main(["look", file, "--case", new]) == 2
    assert "expected the unit of the file, found none; state it: --unit mm" in capsys.readouterr().err
    assert main(["look", file, "--unit", "mm", "--case", new]) == 0
    assert 'unit = "mm"' in Path(new).read_text()
    assert main(["look", str(tmp_path / "no.dxf")]) == 2
    assert "no.dxf: expected a file, found no such file" in capsys.readouterr().err


def test_look_at_a_mesh(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = write_mesh(tmp_path / "m.vtu", GRID, grid_triangles([(0, 0), (2, 2)]), [1, 1, 2, 2])
    new = tmp_path / "new.toml"
    assert main(["look", path, "--unit", "mm", "--case", str(new)]) == 0
    assert "m.vtu (mesh)" in capsys.readouterr().out
    assert [c.name for c in read_case(new).problem().conductors] == ["1", "2"]


@pytest.mark.parametrize(
    ("unit", "scale", "message"),
    [
        ("furlong", 1.0, '--unit: expected a unit of length, one of mm, .* found "furlong"; write --unit mm'),
        (None, 0.0, "--scale: expected a factor from 0.000001 to 1000000, found 0"),
        (None, 1e7, "--scale: .*found 1e[+]07"),
    ],
)
def test_units_and_scales_that_cannot_be(tmp_path: Path, unit: str | None, scale: float, message: str) -> None:
    save(tmp_path)
    with pytest.raises(DrawingError, match=message):
        open_file(tmp_path / "bars.dxf", unit, scale)


def test_a_drawing_keeps_its_unit_and_a_factor_multiplies_it(tmp_path: Path) -> None:
    save(tmp_path)
    seen = open_file(tmp_path / "bars.dxf", None, 2.0)
    assert (seen.kind, seen.known) == ("DXF", True)
    assert {name: len(shapes) for name, shapes in seen.groups.items()} == {"pair": 2, "odd": 1}
    assert seen.groups["pair"][0].area == pytest.approx(4 * 60e-6)
    assert "scale = 2.0" in case_from(seen, tmp_path / "new.toml")


def test_regions_of_air_make_no_conductors(tmp_path: Path) -> None:
    groups = {name: (round_bar(0.01),) for name in ("bar", "air", "Outside", "-1")}
    seen = Seen(tmp_path / "m.vtu", "mesh", "mm", 1.0, True, groups, {})
    case = tomllib.loads(case_from(seen, tmp_path / "new.toml"))
    assert [row["region"] for row in case["conductor"]] == ["bar", "bar"]  # it goes out and comes back
    assert [row["name"] for row in case["conductor"]] == ["bar", "return"]


def test_layers_get_names_that_conductors_may_have(tmp_path: Path) -> None:
    groups = {name: (round_bar(0.01),) for name in ("a.b", "a/b", "", 'q"')}
    seen = Seen(tmp_path / "in" / "s.dxf", "DXF", None, 1.0, True, groups, {})
    case = tomllib.loads(case_from(seen, tmp_path / "new.toml"))
    assert [row["name"] for row in case["conductor"]] == ["a-b", "a-b-2", "part", "q-"]
    assert [row["layer"] for row in case["conductor"]] == list(groups)
    assert {row["file"] for row in case["conductor"]} == {"in/s.dxf"}


def test_a_file_with_nothing_closed_says_what_was_left_out(tmp_path: Path) -> None:
    seen = Seen(tmp_path / "s.dxf", "DXF", None, 1.0, True, {}, {"pair": ("3 x LINE",), "": ()})
    with pytest.raises(DrawingError, match=r"s.dxf: expected closed outlines, found none; pair: 3 x LINE"):
        case_from(seen, tmp_path / "new.toml")


def test_an_outline_that_crosses_itself_has_its_fault_in_the_table(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    bow = outline([(0.0, 0.0), (0.01, 0.01), (0.01, 0.0), (0.0, 0.012)])
    groups = {"bow": (bow,), "rod": (round_bar(0.01),)}
    show(Seen(tmp_path / "s.dxf", "DXF", None, 1.0, True, groups, {"": ("a note",)}))
    out = capsys.readouterr().out
    assert "fault" in out
    assert "cross" in out
    assert "Note: a note" in out


def test_a_long_list_is_cut(tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch) -> None:
    monkeypatch.setattr("crosscurrent.command.look_output.LISTED", 4)
    show(Seen(tmp_path / "s.dxf", "DXF", None, 1.0, True, {"many": (round_bar(0.01),) * 7}, {}))
    assert "... and 3 more of layer many" in capsys.readouterr().out


def test_a_drawing_of_very_many_sides_or_layers_is_shown_soon(run, tmp_path, monkeypatch):
    page = '<svg xmlns="http://www.w3.org/2000/svg" width="90mm" height="90mm" viewBox="0 0 90 90">{}</svg>'
    wheel = " ".join(f"{40 + 30 * math.cos(k / 955):.6f},{40 + 30 * math.sin(k / 955):.6f}" for k in range(6000))
    (tmp_path / "wheel.svg").write_text(page.format(f'<polygon points="{wheel}"/>'))
    status, out, _ = run("look", str(tmp_path / "wheel.svg"))
    assert status == 0
    assert "it has more than 5000 lines and arcs" in " ".join(out.split())
    monkeypatch.setattr("crosscurrent.command.look_output.MOST_ROWS", 3)
    rows = "".join(f'<g id="a{k}"><rect x="{k}" width="0.5" height="1"/></g>' for k in range(8))
    (tmp_path / "many.svg").write_text(page.format(rows))
    status, out, _ = run("look", str(tmp_path / "many.svg"))
    assert status == 0
    assert "... and 5 more outlines of other layers" in out


def test_look_says_the_gaps(capsys: pytest.CaptureFixture[str]) -> None:
    drawing = Path(__file__).parents[2] / "cases" / "sections" / "angles.svg"
    assert main(["look", str(drawing)]) == 0
    assert "Gap: left 1 to right 1: 16 mm face to face over 5 mm" in capsys.readouterr().out


def test_look_at_a_case_says_the_gaps_of_finished_faces(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "feed.toml"
    path.write_text(CASE, encoding="utf-8")
    assert main(["look", str(path), "--picture", str(tmp_path / "feed.png")]) == 0
    out = capsys.readouterr().out
    assert "feed.toml (case)" in out
    assert "100 x 6" in out
    assert "Gap: outgoing to return: 3 mm at the nearest" in out
    assert main(["look", str(path), "--case", str(tmp_path / "new.toml")]) == 2
    assert "expected a drawing or a mesh, to start a case from, found a case" in capsys.readouterr().err
    path.write_text(CASE.replace('"gap" }', '"gup" }'), encoding="utf-8")
    assert main(["look", str(path)]) == 2
    assert 'did you mean "gap" of [named]?' in capsys.readouterr().err


def test_look_at_a_section_round_an_axis(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "coil.toml"
    path.write_text(
        """
title = "Coil"
symmetry = "axial"
frequency = { at = ["1 kHz"] }
[[conductor]]
name = "billet"
shape = "bar"
width = "40 mm"
thickness = "60 mm"
material = "copper"
[[conductor]]
name = "turn"
shape = "round"
diameter = "8 mm"
centre = ["30 mm", "5 mm"]
material = "copper"
[[circuit]]
name = "coil"
current = "100 A"
out = ["turn"]
""",
        encoding="utf-8",
    )
    picture = tmp_path / "coil.svg"
    assert main(["look", str(path), "--picture", str(picture)]) == 0
    said = capsys.readouterr().out
    assert "Rings round the axis where they are placed" in said
    assert "0 to 20" in said
    assert "26 to 34" in said
    drawn = picture.read_text()
    assert ">axis<" in drawn
    assert drawn.count(">turn<") == 1
