"""Conductors out of drawings and meshes: the same answers as typed by hand, their names, and faults in plain words."""

from __future__ import annotations

import json
import math
import threading
from pathlib import Path

import ezdxf
import meshio
import numpy as np
import pytest
from drawn_files import GRID, grid_triangles, save, write_mesh

from crosscurrent.__main__ import main
from crosscurrent.api import case, circuit, conductor
from crosscurrent.casefile.case import Case
from crosscurrent.casefile.conductors import ConductorTable
from crosscurrent.casefile.faults import CaseError
from crosscurrent.casefile.reader import read_case
from crosscurrent.geometries.drawings.reading import read_drawing
from crosscurrent.postprocess.workshop.drawing_files import as_dxf, as_svg
from crosscurrent.postprocess.workshop.layout import section_sheet
from crosscurrent.result import Result
from crosscurrent.run import solve_case

CASES = Path(__file__).resolve().parents[3] / "cases"
HEAD = """
title = "Drawn"
[frequency]
at = ["1 kHz"]
[accuracy]
resistance = "0.0001 %"
"""
FEED = """
[[circuit]]
name = "feed"
current = "100 A"
out = ["{out}"]
back = ["{back}"]
"""


def drawn(name: str, file: str, more: str = "", y: str = "0 mm") -> str:
    rows = ["[[conductor]]", f'name = "{name}"', 'shape = "drawing"', f'file = "{file}"', 'material = "copper"', more]
    return "\n".join([*rows, f'centre = ["0 mm", "{y}"]', ""])


def solved(folder: Path, text: str) -> Result:
    (folder / "case.toml").write_text(text, encoding="utf-8")
    return solve_case(read_case(folder / "case.toml"))


def faults(folder: Path, text: str) -> str:
    (folder / "case.toml").write_text(text, encoding="utf-8")
    with pytest.raises(CaseError) as caught:
        read_case(folder / "case.toml")
    return str(caught.value)


def test_two_outlines_answer_as_two_typed_bars(tmp_path: Path) -> None:
    save(tmp_path)
    found = solved(tmp_path, HEAD + drawn("bar", "bars.dxf", 'layer = "pair"') + FEED.format(out="bar.1", back="bar.2"))
    typed = [
        conductor(f"bar-{k}", "bar", width="20 mm", thickness="3 mm", centre=("10 mm", y), material="copper")
        for k, y in ((1, "1.5 mm"), (2, "9.5 mm"))
    ]
    feed = [circuit("feed", "100 A", out=["bar-1"], back=["bar-2"])]
    wanted = solve_case(case("Typed", typed, feed, at=["1 kHz"], accuracy="0.0001 %"))
    assert found.circuits["feed"].resistance == pytest.approx(wanted.circuits["feed"].resistance, rel=1e-6)
    assert found.circuits["feed"].inductance == pytest.approx(wanted.circuits["feed"].inductance, rel=1e-6)
    assert found.warnings[0] == "bars.dxf, layer pair: left out were 1 x TEXT"
    assert found.chapters[0].record["bar"]["area_m2"] == pytest.approx(120e-6, rel=1e-12)


def test_arcs_turned_and_scaled_answer_as_a_typed_outline(tmp_path: Path) -> None:
    save(tmp_path, units=1)  # inches, brought back by the scale
    more = f'layer = "odd"\nturn = "90 deg"\nscale = {1 / 25.4!r}'
    text = HEAD + drawn("a", "bars.dxf", more) + drawn("b", "bars.dxf", more, "30 mm")
    found = solved(tmp_path, text + FEED.format(out="a", back="b"))
    points = [["0 mm", "0 mm"], ["20 mm", "0 mm"], {"arc_to": ["20 mm", "3 mm"], "bulge": 0.2}, ["0 mm", "3 mm"]]
    points[0] = {"arc_to": ["0 mm", "0 mm"], "bulge": -0.3}
    typed = [
        conductor(n, "outline", points=points, centre=("0 mm", y), turn="90 deg", material="copper")  # type: ignore[arg-type]
        for n, y in (("a", "0 mm"), ("b", "30 mm"))
    ]
    feed = [circuit("feed", "100 A", out=["a"], back=["b"])]
    wanted = solve_case(case("Typed", typed, feed, at=["1 kHz"], accuracy="0.0001 %"))
    assert found.circuits["feed"].resistance == pytest.approx(wanted.circuits["feed"].resistance, rel=1e-6)


def test_repeat_counts_through_all_outlines(tmp_path: Path) -> None:
    save(tmp_path)
    path = str(tmp_path / "bars.dxf")
    step = {"count": 2, "step": ["30 mm", "0 mm"]}
    bars = conductor("bar", "drawing", file=path, layer="pair", repeat=step, material="copper")
    assert list(bars.copies) == ["bar.1", "bar.2", "bar.3", "bar.4"]
    assert bars.parts()[2].bounds[0] == pytest.approx([0.03, 0.0])
    assert bars.parts()[3].bounds[0] == pytest.approx([0.03, 0.008])


def test_faults_name_the_file_and_all_come_in_one_pass(tmp_path: Path) -> None:
    save(tmp_path)
    save(tmp_path, "bare.dxf", units=0)
    text = HEAD + "".join(
        drawn(*row)
        for row in (
            ("a", "bar.dxf"),
            ("b", "bare.dxf", 'layer = "odd"'),
            ("c", "bars.dxf"),
            ("d", "bars.dxf", 'layer = "pear"'),
            ("e", "bare.dxf", 'layer = "odd"\nunit = "mil"'),
            ("f", "bare.dxf", 'layer = "odd"\nunit = "mm"\nscale = 0'),
            ("g", "bars.dxf", 'layer = "odd"\nscale = 100000', "-50 m"),
        )
    )
    message = faults(tmp_path, text + FEED.format(out="a", back="b.2"))
    for words in (
        'conductor "a": expected a file, found no such file (bar.dxf); check its name',
        'conductor "b": expected a drawing that says its unit, found DXF without a unit of length (bare.dxf); '
        'state it: unit = "mm"',
        'conductor "c": expected one layer with closed outlines, or a choice, found 2 (bars.dxf); write layer = "odd"',
        'conductor "d": expected a layer of the drawing, found "pear" (bars.dxf); its layers with closed outlines are',
        'conductor "e", key unit: expected a unit of length, one of mm, cm, m, um, in, thou, ft, found "mil"',
        'conductor "f", key scale: expected a factor, a bare number from 0.000001 to 1000000, found the number 0',
        'conductor "g": expected outlines within 100 m of the origin, found one 2030 m away (bars.dxf)',
    ):
        assert words in message
    assert message.startswith("case.toml: 7 faults")


def test_unit_of_the_case_wins_and_says_so(tmp_path: Path) -> None:
    save(tmp_path, units=1)
    bar = conductor("a", "drawing", file=str(tmp_path / "bars.dxf"), layer="odd", unit="mm", material="copper")
    assert bar.notes[0] == "bars.dxf: its own unit is 25.4 mm; the case takes mm instead"


# --- finished meshes -----------------------------------------------------------------------------


def meshed(path: str, **more: str) -> ConductorTable:
    return conductor("m", "mesh", file=path, unit=more.pop("unit", "mm"), material="copper", **more)  # type: ignore[arg-type]


def test_mesh_regions_become_shapes_with_few_sides(tmp_path: Path) -> None:
    ring = [(x, y) for x in range(3) for y in range(3) if (x, y) != (1, 1)]
    triangles = grid_triangles([*ring, (3, 0)])
    tags = [7] * 2 * len(ring) + [9] * 2
    path = write_mesh(tmp_path / "m.vtu", GRID, [t[::-1] if k % 3 else t for k, t in enumerate(triangles)], tags)
    outer, (hole,) = meshed(path, region="7").draw().outer, meshed(path, region="7").draw().holes
    assert (len(outer.points), len(hole.points)) == (4, 4)
    assert (outer.area - hole.area) * 1e6 == pytest.approx(8, rel=1e-12)
    assert meshed(path, region=9).draw().outer.area * 1e6 == pytest.approx(1, rel=1e-12)  # type: ignore[arg-type]


def test_curved_triangles_give_arcs(tmp_path: Path) -> None:
    angle = np.arange(12) * math.pi / 6
    points = [[5 * math.cos(a), 5 * math.sin(a), 0.0] for a in angle] + [[0.0, 0.0, 0.0]]
    points += [[2.5 * math.cos(a), 2.5 * math.sin(a), 0.0] for a in angle[::2]]
    triangles = [[12, 2 * k, 2 * ((k + 1) % 6), 13 + k, 2 * k + 1, 13 + (k + 1) % 6] for k in range(6)]
    shape = meshed(write_mesh(tmp_path / "m.vtu", points, triangles)).draw()
    assert shape.outer.area * 1e6 == pytest.approx(25 * math.pi, rel=1e-12)
    assert len(shape.outer.points) <= 6


def test_pieces_and_the_same_answer_as_typed(tmp_path: Path) -> None:
    path = write_mesh(tmp_path / "m.vtu", GRID, grid_triangles([(0, 0), (0, 1), (0, 2), (3, 0), (3, 1), (3, 2)]))
    pieces = meshed(path)
    assert list(pieces.copies) == ["m.1", "m.2"]
    feed = [circuit("feed", "10 A", out=["m.1"], back=["m.2"])]
    found = solve_case(case("Meshed", pieces, feed, at=["10 kHz"], accuracy="0.0001 %"))
    typed = [
        conductor(f"m-{k}", "bar", width="1 mm", thickness="3 mm", centre=(x, "1.5 mm"), material="copper")
        for k, x in ((1, "0.5 mm"), (2, "3.5 mm"))
    ]
    feed = [circuit("feed", "10 A", out=["m-1"], back=["m-2"])]
    wanted = solve_case(case("Typed", typed, feed, at=["10 kHz"], accuracy="0.0001 %"))
    assert found.circuits["feed"].resistance == pytest.approx(wanted.circuits["feed"].resistance, rel=1e-6)


def test_doubled_nodes_are_merged_and_told(tmp_path: Path) -> None:
    points = [[0, 0], [2, 0], [2, 1], [0, 0], [2, 1], [0, 1]]
    bar = meshed(write_mesh(tmp_path / "m.vtk", [[*map(float, p), 0.0] for p in points], [[0, 1, 2], [3, 4, 5]]))
    assert bar.draw().outer.area * 1e6 == pytest.approx(2, rel=1e-12)
    assert bar.notes == ("m.vtk: 2 nodes that stood on the place of another one were merged with it",)


BAD = {
    "folded": (GRID, [[0, 1, 6], [1, 0, 5], [0, 1, 7]], "found folded or overlapping ones at (0, 0) mm"),
    "without area": (GRID, [[0, 1, 6], [0, 1, 2]], "expected triangles with an area, found 1 without"),
    "hanging node": (GRID, [[0, 2, 12], [0, 6, 10], [6, 12, 10], [0, 1, 2]][:3], "a node that hangs on an edge"),
    "touching in a point": (GRID, [[0, 1, 6], [6, 7, 12]], "or a region that touches itself, at (1, 1) mm"),
    "not flat": ([[0.0, 0, 0], [1, 0, 0], [0, 1, 1]], [[0, 1, 2]], "nodes at different heights z"),
    "not a number": ([[0.0, 0, 0], [1, 0, 0], [0, math.nan, 0]], [[0, 1, 2]], "a node that is not a number"),
}


@pytest.mark.parametrize("name", BAD)
def test_bad_meshes_are_refused_in_plain_words(name: str, tmp_path: Path) -> None:
    points, triangles, words = BAD[name]
    with pytest.raises(CaseError) as caught:
        meshed(write_mesh(tmp_path / "m.vtk", points, triangles))
    assert words in str(caught.value)
    assert "(m.vtk)" in str(caught.value)


@pytest.mark.parametrize(
    ("name", "content", "words"),
    [
        ("m.vtu", "not a mesh", "expected a sound mesh file, found a damaged one, or one of another kind"),
        ("m.msh", "$MeshFormat\n", "expected a sound mesh file"),
        ("m.xyz", "1 2 3", "expected a sound mesh file, found a damaged one"),
        ("m.vtu", "", "found an empty file"),
    ],
)
def test_files_that_are_no_meshes(
    name: str, content: str, words: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / name).write_text(content)
    with pytest.raises(CaseError, match=words):
        meshed(str(tmp_path / name))
    assert capsys.readouterr() == ("", "")


def test_a_mesh_file_without_end_is_given_up(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    never = threading.Event()
    path = write_mesh(tmp_path / "m.vtu", GRID, grid_triangles([(0, 0)]))
    monkeypatch.setattr(meshio, "read", lambda _: never.wait())
    monkeypatch.setattr("crosscurrent.geometries.drawings.meshes.PATIENCE", 0.05)
    with pytest.raises(CaseError, match="found one that takes longer"):
        meshed(path)
    never.set()


def test_mesh_asks_for_unit_and_region(tmp_path: Path) -> None:
    path = write_mesh(tmp_path / "m.vtu", GRID, grid_triangles([(0, 0), (2, 2)]), [1, 1, 2, 2])
    with pytest.raises(CaseError, match=r'expected the unit of the mesh, found none, .* unit = "mm"'):
        conductor("m", "mesh", file=path, material="copper")
    with pytest.raises(CaseError, match=r'expected one region, or a choice, found 2 .* write region = "1"'):
        meshed(path)
    with pytest.raises(CaseError, match=r'expected a region of the mesh, found "3" .* its regions are "1", "2"'):
        meshed(path, region="3")


# --- drawings out -------------------------------------------------------------------


def shipped(name: str) -> Case:
    return read_case(CASES / f"{name}.toml")


@pytest.mark.parametrize("name", ["feed-facing", "pad-tubes", "clamp-profile", "t-slot-busbar", "brass-silvered"])
def test_drawings_out_read_back_with_the_same_areas(name: str, tmp_path: Path) -> None:
    conductors = shipped(name).problem().conductors
    sheet = section_sheet(conductors, "A & B <c>", [])
    for file, text in (("s.dxf", as_dxf(sheet)), ("s.svg", as_svg(sheet))):
        (tmp_path / file).write_text(text, encoding="utf-8")
        drawing = read_drawing(tmp_path / file)
        assert drawing.unit == 1e-3
        for c in conductors:
            (shape,) = drawing.layer(f"METAL {c.name}").shapes
            area = shape.outer.area - sum(hole.area for hole in shape.holes)
            assert area == pytest.approx(c.part.area, rel=1e-9)
    assert (as_dxf(sheet), as_svg(sheet)) == (as_dxf(sheet), as_svg(sheet))


def test_the_workshop_finds_sizes_gap_plating_radius_and_warnings() -> None:
    case = shipped("brass-silvered")
    texts = [
        label.text for label in section_sheet(case.problem().conductors, case.title, ["... burns deeply ..."]).labels
    ]
    every = "\n".join(texts)
    # 20 mm / 25.4 um = 787.4 thou; 5 mm = 196.9; 0.3 mm = 11.81; 20 um = 0.787
    for words in ("20 (787.4)  2x", "3 (118.1)  2x", "gap 5 (196.9)", "edge radius 0.3 (11.81), 4x",
                  "plated, inside first: silver 20 um (0.787)", "HIGH FREQUENCY: burns deeply"):  # fmt: skip
        assert words in every.replace("\n", " ")
    assert "HOT SURFACE" not in every


@pytest.mark.usefixtures("no_pictures")
def test_run_leaves_both_drawings(tmp_path: Path) -> None:
    save(tmp_path)
    text = (
        HEAD.replace("0.0001", "1")
        + drawn("bar", "bars.dxf", 'layer = "pair"')
        + FEED.format(out="bar.1", back="bar.2")
    )
    (tmp_path / "case.toml").write_text(text, encoding="utf-8")
    assert main(["run", str(tmp_path / "case.toml")]) == 0
    folder = tmp_path / "case"
    assert "HOT SURFACE" in (folder / "section.svg").read_text(encoding="utf-8")
    assert ezdxf.readfile(folder / "section.dxf").header["$INSUNITS"] == 4
    assert json.loads((folder / "results.json").read_text())["files"]["bar"]["outlines"] == 2
    assert main(["run", str(tmp_path / "case.toml")]) == 0  # over the earlier results


def test_shipped_profile_gives_the_number_it_states() -> None:
    """Area by hand: base, shoulders, fillets, slot, bores; R near that of wide plates."""
    result = solve_case(shipped("t-slot-busbar"))
    corner = 1 - math.pi / 4
    solid = 60 * 8 - 4 * corner + 32 * 14 - 2 * 4 * corner + 2 * 16 * corner
    area = solid - (10 * 4 + 18 * 8 - 2 * corner) - 2 * 4 * math.pi
    assert result.chapters[0].record["outgoing"]["area_m2"] == pytest.approx(area * 1e-6, rel=1e-9)
    feed = result.circuits["feed"]
    assert feed.resistance == pytest.approx(3.208e-3, rel=5e-4)
    assert feed.inductance == pytest.approx(35.49e-9, rel=5e-4)
    # plates of the whole width, 2 / (w sigma delta) (one-dimensional): some current takes the way round the edges too
    (outgoing, *_) = result.case.problem().conductors
    sigma, delta = outgoing.material.conductivity_at(60.0), outgoing.material.skin_depth(85e3, 60.0)
    assert 0.85 < (feed.resistance or 0) * 0.06 * sigma * delta / 2 < 1.0
    faces = {face.name: face.current_share or 0 for face in result.conductors["outgoing"].faces}
    assert faces["lower face"] == pytest.approx(0.9, abs=0.01)
