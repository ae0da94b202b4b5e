"""Tables of conductors: copies, pieces, parts where they stand, and what each shape says of itself."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from pydantic import ValidationError
from table_rows import refused

from crosscurrent.casefile.conductors import (
    BY_SHAPE,
    BarConductor,
    CladTable,
    ConductorTable,
    OutlineConductor,
    RepeatTable,
    RoundConductor,
)
from crosscurrent.geometries.errors import GeometryError
from crosscurrent.geometries.plane.shapes import SHAPES

ROD = {"name": "rod", "shape": "round", "diameter": "6 mm", "material": "copper"}
BAR = {"name": "bar", "shape": "bar", "width": "40 mm", "thickness": "10 mm", "material": "copper"}


def test_copies_are_counted_from_one() -> None:
    single = RoundConductor.model_validate(ROD | {"centre": ["1 mm", "2 mm"]})
    assert single.copies == {"rod": (0.001, 0.002)}
    repeat = {"count": 3, "step": ["10 mm", "-1 mm"]}
    copies = RoundConductor.model_validate(ROD | {"repeat": repeat}).copies
    assert list(copies) == ["rod.1", "rod.2", "rod.3"]
    assert copies["rod.3"] == pytest.approx((0.02, -0.002))


def test_copies_may_not_lie_on_one_another() -> None:
    still = ["0 mm", "0 mm"]
    assert refused(RepeatTable, count=2, step=still)[1] == '["0 mm", "0 mm"]'
    assert RepeatTable.model_validate({"count": 1, "step": still}).count == 1


def test_a_part_stands_turned_on_its_centre_with_its_coats() -> None:
    coats = [{"material": "nickel", "thickness": "2 um"}, {"material": "silver", "thickness": "10 um"}]
    more = {"centre": ["1 mm", "-2 mm"], "turn": "90 deg", "plating": coats}
    (part,) = BarConductor.model_validate(BAR | more).parts()
    np.testing.assert_allclose(part.shape.outer.bounds, [[-0.004, -0.022], [0.006, 0.018]], atol=1e-12)
    assert part.coats == pytest.approx((2e-6, 10e-6))


def test_every_copy_is_a_part() -> None:
    made = BarConductor.model_validate(BAR | {"repeat": {"count": 2, "step": ["0 mm", "20 mm"]}})
    parts = made.parts()
    assert [part.name for part in parts] == ["bar.1", "bar.2"]
    shift = parts[1].shape.outer.centroid - parts[0].shape.outer.centroid
    assert shift == pytest.approx([0, 0.02], abs=1e-12)


def test_a_piece_moves_with_its_conductor() -> None:
    """Its offset counts from the conductor's own axes: above the bar turned by 90 deg is left of it."""
    piece = {"shape": "bar", "width": "40 mm", "thickness": "2 mm", "material": "tin", "offset": ["0 mm", "6 mm"]}
    (part,) = BarConductor.model_validate(BAR | {"turn": "90 deg", "clad": [piece]}).parts()
    assert part.pieces[0].outer.centroid == pytest.approx([-0.006, 0], abs=1e-12)


@pytest.mark.parametrize(
    ("keys", "found", "hint"),
    [
        ({"width": "1 mm"}, "a piece has thickness missing", "a bar takes edge_radius, thickness, width"),
        ({"width": "1 mm", "thickness": "1 mm", "wall": "1 mm"}, "a piece has wall too many", "a bar takes "),
    ],
)
def test_a_piece_with_keys_missing_or_too_many(keys: dict[str, str], found: str, hint: str) -> None:
    piece = CladTable.model_validate({"shape": "bar", "material": "tin", **keys})
    with pytest.raises(GeometryError) as caught:
        piece.draw()
    assert caught.value.faults[0].found == found
    assert caught.value.faults[0].hint.startswith(hint)


def test_a_finish_by_name_or_by_emissivity() -> None:
    assert RoundConductor.model_validate(ROD | {"emissivity": 0.3}).emissivity == 0.3
    with pytest.raises(ValidationError):
        RoundConductor.model_validate(ROD | {"emissivity": 0.3, "finish": "dull"})


def test_an_outline_has_lines_arcs_and_holes() -> None:
    """A square of 10 mm with a half disc on its right side, less a hole of 2 mm by 2 mm."""
    points: list[Any] = [["0 mm", "0 mm"], ["10 mm", "0 mm"], {"arc_to": ["10 mm", "10 mm"], "bulge": 1}]
    hole = [["2 mm", "2 mm"], ["4 mm", "2 mm"], ["4 mm", "4 mm"], ["2 mm", "4 mm"]]
    row = {"name": "o", "shape": "outline", "material": "copper", "points": [*points, ["0 mm", "10 mm"]]}
    made = OutlineConductor.model_validate(row | {"holes": [hole]}).draw()
    assert made.outer.area - made.holes[0].area == pytest.approx((100 + math.pi * 12.5 - 4) * 1e-6, rel=1e-12)


@pytest.mark.parametrize("shape", sorted(BY_SHAPE))
def test_every_shape_has_its_model_which_says_what_it_is(shape: str) -> None:
    model = BY_SHAPE[shape]
    assert issubclass(model, ConductorTable)
    assert list(BY_SHAPE) == list(SHAPES)
    assert model.summary
    assert model.height_of_sample > 0
    assert max(len(line) for line in model.drawing.splitlines()) <= 30
