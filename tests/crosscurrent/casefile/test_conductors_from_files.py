"""Conductors out of files: names of their outlines, what was left out, and a fault where nothing can be read."""

from __future__ import annotations

from pathlib import Path

import pytest
from drawn_files import GRID, grid_triangles, save, write_mesh
from pydantic import TypeAdapter, ValidationError

from crosscurrent.casefile.conductors import BY_SHAPE, BarConductor
from crosscurrent.casefile.conductors_from_files import MODELS, AnyConductor, DrawingConductor, MeshConductor

ANY: TypeAdapter[object] = TypeAdapter(AnyConductor)


def row(shape: str, path: Path | str, **more: object) -> dict[str, object]:
    return {"name": "m", "shape": shape, "file": str(path), "material": "copper"} | more


def test_outlines_of_a_layer_are_numbered_and_through_all_copies(tmp_path: Path) -> None:
    save(tmp_path)
    made = DrawingConductor.model_validate(row("drawing", tmp_path / "bars.dxf", layer="pair"))
    assert list(made.copies) == ["m.1", "m.2"]
    assert [part.area for part in made.parts()] == pytest.approx([60e-6, 60e-6])
    assert any("TEXT" in note for note in made.notes)
    repeat = {"count": 2, "step": ["30 mm", "0 mm"]}
    twice = DrawingConductor.model_validate(row("drawing", tmp_path / "bars.dxf", layer="pair", repeat=repeat))
    assert list(twice.copies) == ["m.1", "m.2", "m.3", "m.4"]
    assert [centre[0] for centre in twice.copies.values()] == pytest.approx([0, 0, 0.03, 0.03])


def test_a_single_outline_keeps_the_name(tmp_path: Path) -> None:
    save(tmp_path)
    made = DrawingConductor.model_validate(row("drawing", tmp_path / "bars.dxf", layer="odd"))
    assert list(made.copies) == ["m"]
    assert made.draw().outer.area == pytest.approx(made.parts()[0].area)


def test_a_region_of_a_mesh(tmp_path: Path) -> None:
    path = write_mesh(tmp_path / "m.vtu", GRID, grid_triangles([(0, 0), (2, 2)]), [1, 1, 2, 2])
    made = MeshConductor.model_validate(row("mesh", path, region=2, unit="mm", scale=2))
    assert made.draw().outer.area == pytest.approx(4e-6)  # a cell of 1 by 1, twice as large each way


@pytest.mark.parametrize("shape", ["drawing", "mesh"])
def test_a_file_that_is_not_there_is_a_fault_of_the_conductor(tmp_path: Path, shape: str) -> None:
    with pytest.raises(ValidationError) as caught:
        ANY.validate_python(row(shape, tmp_path / "none.dxf", unit="mm"))
    context = caught.value.errors()[0]["ctx"]
    assert "no such file" in context["found"]
    assert "none.dxf" in context["found"]


def test_the_shape_says_which_model() -> None:
    bar = {"name": "b", "shape": "bar", "width": "4 mm", "thickness": "1 mm", "material": "copper"}
    assert isinstance(ANY.validate_python(bar), BarConductor)
    assert MODELS.keys() - BY_SHAPE.keys() == {"bundle", "drawing", "mesh"}
    with pytest.raises(ValidationError, match="union_tag_invalid"):
        ANY.validate_python(bar | {"shape": "disc"})
