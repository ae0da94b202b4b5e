"""Names of faces by the direction they look to, bores, and the lengths along the outline."""

from __future__ import annotations

import numpy as np
import pytest

from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.shapes import Shape, angle, bar, box, round_bar, tube
from crosscurrent.postprocess.answers.face_names import face_names


def lengths(shape: Shape) -> dict[str, float]:
    names, _, along = face_names(Part("part", shape))
    return dict(zip(names, along.tolist(), strict=True))


def test_a_bar_with_rounded_edges() -> None:
    found = lengths(bar(0.1, 0.006, 0.0005))
    assert sorted(found) == sorted(
        [*(f"{d} face" for d in ("lower", "right", "upper", "left")),
         *(f"{d} edge" for d in ("lower right", "upper right", "upper left", "lower left"))]
    )  # fmt: skip
    assert found["lower face"] == pytest.approx(0.099)
    assert found["left face"] == pytest.approx(0.005)
    assert found["upper left edge"] == pytest.approx(0.0005 * np.pi / 2)


def test_round_shapes_have_sides_and_a_bore() -> None:
    rod = lengths(round_bar(0.01))
    assert all(name.endswith(" side") for name in rod)
    assert sum(rod.values()) == pytest.approx(np.pi * 0.01)
    assert lengths(tube(0.02, 0.004))["bore"] == pytest.approx(np.pi * 0.012)


def test_faces_that_look_the_same_way_are_told_apart_by_place() -> None:
    found = lengths(angle(0.04, 0.04, 0.005))
    assert {"upper face at y = -15 mm", "upper face at y = 20 mm"} <= set(found)
    assert "lower face" in found


def test_every_side_has_a_face() -> None:
    part = Part("duct", box(0.05, 0.03, 0.003, 0.002, 0.001))
    names, label, _ = face_names(part)
    assert len(label) == sum(len(o.points) for o in part.all_outlines)
    assert set(label.tolist()) == set(range(len(names)))
