"""What is the same at every frequency of a mesh: exact areas, faces by symmetry, handed on only where it fits."""

from __future__ import annotations

from dataclasses import asdict

import numpy as np
import pytest

from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.shapes import bar, round_bar, tube
from crosscurrent.postprocess.answers.answers import answers
from crosscurrent.postprocess.answers.mesh_parts import MeshParts
from crosscurrent.solver.field.problem import Circuit, Conductor, Problem
from crosscurrent.solver.field.solution import Solution
from crosscurrent.solver.field.solve import solve
from crosscurrent.solver.metals.materials import MATERIALS


@pytest.fixture(scope="module")
def solution() -> Solution:
    square = Conductor(Part("square", bar(0.01, 0.01)), MATERIALS["copper"])
    pipe = Conductor(Part("pipe", tube(0.01, 0.002).placed((0.02, 0.0))), MATERIALS["copper"])
    return solve(Problem((square, pipe), (Circuit("feed", 1.0, ("square",), ("pipe",)),)), 0.0, accuracy=0.01)


@pytest.fixture(scope="module")
def parts(solution: Solution) -> MeshParts:
    return MeshParts.of(solution.fine)


def test_areas_are_those_of_the_shapes(parts: MeshParts) -> None:
    square, pipe = parts.conductors
    assert square.area == pytest.approx(1e-4, rel=1e-12)
    assert pipe.area == pytest.approx(np.pi * (25 - 9) * 1e-6, rel=1e-9)


def test_faces_of_a_square_have_a_quarter_of_it_each(parts: MeshParts) -> None:
    square = parts.conductors[0]
    assert square.faces == ("lower face", "right face", "upper face", "left face")
    by_face = np.bincount(square.split.face, square.split.area)
    np.testing.assert_allclose(by_face, 0.25e-4, rtol=1e-4)
    assert by_face.sum() == pytest.approx(square.area, rel=1e-12)
    assert square.split.depth.max() <= 0.005 + 1e-12


def test_the_split_of_a_pipe_holds_all_of_it(parts: MeshParts) -> None:
    """Nearer to the bore than to the outside lies what is within the radius of 4 mm."""
    pipe = parts.conductors[1]
    by_face = np.bincount(pipe.split.face, pipe.split.area)
    assert by_face.sum() == pytest.approx(pipe.area, rel=1e-9)
    assert by_face[pipe.faces.index("bore")] == pytest.approx(np.pi * (16 - 9) * 1e-6, rel=1e-2)


def test_parts_are_handed_on_on_the_same_mesh_only(solution: Solution, parts: MeshParts) -> None:
    assert MeshParts.of(solution.fine, parts) is parts
    assert not parts.fits(solution.coarse)
    assert MeshParts.of(solution.coarse, parts) is not parts


def test_answers_are_the_same_with_and_without_them(solution: Solution, parts: MeshParts) -> None:
    rod = Conductor(Part("rod", round_bar(0.01)), MATERIALS["copper"])
    other = MeshParts.of(solve(Problem((rod,), (Circuit("feed", 1.0, ("rod",)),)), 0.0, accuracy=0.01).fine)
    alone = asdict(answers(solution))["conductors"]
    assert asdict(answers(solution, parts))["conductors"] == alone
    assert asdict(answers(solution, other))["conductors"] == alone  # those of another mesh are not used
