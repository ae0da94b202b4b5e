"""Shares of the current face by face: areas of the regions nearest to each face, mirror images, sentences."""

import numpy as np
import pytest

from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.shapes import angle, bar, tube
from crosscurrent.postprocess.answers.answers import answers
from crosscurrent.solver.field.problem import Circuit, Conductor, Problem
from crosscurrent.solver.field.solve import solve
from crosscurrent.solver.metals.materials import MATERIALS

PHASES = (("A", -0.04), ("B", 0.0), ("C", 0.04))
MIRRORED = {"upper face": "lower face", "lower face": "upper face"}


def answered(frequency, *placed, back=(), coats=()):
    """Answers for conductors c0, c1, ... given as (shape, centre), all in parallel but for those that lead back."""
    metals = (MATERIALS["silver"],) * len(coats)
    parts = [
        Conductor(Part(f"c{k}", shape.placed(centre, 0.0), coats), MATERIALS["copper"], coats=metals)
        for k, (shape, centre) in enumerate(placed)
    ]
    names = [p.name for p in parts]
    feed = Circuit("feed", 100.0, tuple(n for n in names if n not in back), tuple(back))
    return answers(solve(Problem(tuple(parts), (feed,)), frequency)).conductors


def shares(answer):
    return {f.name: f.current_share for f in answer.faces}


@pytest.mark.parametrize(
    ("width", "thickness", "long", "short"),
    [(0.1, 0.006, (600 - 2 * 9) / 2 / 600, 9 / 600), (0.01, 0.01, 0.25, 0.25), (0.03, 0.02, 200 / 600, 100 / 600)],
)
def test_direct_current_in_a_bar_divides_as_the_areas_nearest_to_its_faces(width, thickness, long, short):
    """The bisectors at 45 degrees cut triangles of height thickness / 2 from the ends, trapezia from the sides."""
    found = shares(answered(0.0, (bar(width, thickness), (0.0, 0.0)))["c0"])
    assert found["lower face"] == pytest.approx(long, abs=2e-4)
    assert found["upper face"] == pytest.approx(long, abs=2e-4)
    assert found["left face"] == pytest.approx(short, abs=2e-4)
    assert found["right face"] == pytest.approx(short, abs=2e-4)


def test_direct_current_in_a_tube_divides_at_the_middle_of_its_wall():
    """Radii 6, 8, 10 mm: the bore has (64 - 36) / (100 - 36) of the area."""
    found = shares(answered(0.0, (tube(0.02, 0.004), (0.0, 0.0)))["c0"])
    assert found["bore"] == pytest.approx(28 / 64, abs=1e-3)
    assert found["left side"] == pytest.approx(36 / 64 / 4, abs=1e-3)


def test_metal_behind_a_concave_corner_is_shared_by_both_its_faces():
    """Angle 40 x 40 x 5 mm: on its bisector stands a square of 5 mm, cut by the corner's own bisector and by
    the two parabolas about the corner; mirror images have equal shares, whichever comes first in the outline."""
    found = shares(answered(0.0, (angle(0.04, 0.04, 0.005), (0.0, 0.0)))["c0"])
    assert found["upper face at y = -15 mm"] == pytest.approx(found["right face at x = -15 mm"], abs=1e-6)
    assert found["lower face"] == pytest.approx(found["left face"], abs=1e-6)
    # nearer to the corner (5, 5) than to x = 0 and y = 0: between the parabolas, on the square 0..5 mm
    x, y = np.meshgrid(*2 * [(np.arange(4000) + 0.5) / 800])
    behind = 25 * (np.hypot(x - 5, y - 5) < np.minimum(x, y)).mean()
    # along each leg half the thickness; at its end a triangle of height 2.5 mm takes its part
    expected = (35 * 2.5 - 2.5**2 / 2 + behind / 2) / 375
    assert found["upper face at y = -15 mm"] == pytest.approx(expected, abs=5e-4)


@pytest.mark.parametrize("frequency", [50.0, 1e3, 20e3])
def test_mirror_images_get_mirrored_shares_and_sentences(frequency):
    shape = bar(0.04, 0.006)
    found = answered(frequency, (shape, (0.0, 0.005)), (shape, (0.0, -0.005)), back=("c1",))
    upper, lower = shares(found["c0"]), shares(found["c1"])
    for name, share in upper.items():
        assert lower[MIRRORED.get(name, name)] == pytest.approx(share, abs=1e-3)
    assert upper["left face"] == pytest.approx(upper["right face"], abs=1e-3)
    swapped = found["c0"].sentence.replace("lower", "?").replace("upper", "lower").replace("?", "upper")
    both = ("upper face and the lower face", "lower face and the upper face")  # named in the outline's order
    assert found["c1"].sentence == swapped.replace(*both)


@pytest.mark.parametrize("frequency", [100.0, 5e3, 200e3])
def test_square_bar_has_four_equal_faces(frequency):
    answer = answered(frequency, (bar(0.01, 0.01), (0.0, 0.0)))["c0"]
    assert list(shares(answer).values()) == pytest.approx([0.25] * 4, abs=1e-3)
    assert "evenly" in answer.sentence or "fills" in answer.sentence


def test_shares_add_up_with_the_dark_core_left_out():
    found = answered(100e3, (bar(0.1, 0.006, 0.0005), (0.0, 0.0)))["c0"]
    assert sum(shares(found).values()) == pytest.approx(1.0, abs=1e-6)
    assert sum(f.loss_share for f in found.faces) == pytest.approx(1.0, abs=1e-6)


@pytest.mark.parametrize(
    ("frequency", "said"), [(10.0, "the current fills the section;"), (3300.0, "the current leans to the outline,")]
)
def test_only_a_skin_as_thick_as_the_metal_fills_it(frequency, said):
    """The middle of three phases, 10 mm thick: a skin of 21 mm reaches through, one of 1.2 mm does not."""
    bars = [Conductor(Part(n, bar(0.01, 0.06).placed((x, 0.0))), MATERIALS["copper"]) for n, x in PHASES]
    turns = [400 * np.exp(-2j * np.pi * k / 3) for k in range(3)]
    phases = tuple(Circuit(n, turn, (n,)) for (n, _), turn in zip(PHASES, turns, strict=True))
    assert answers(solve(Problem(tuple(bars), phases), frequency)).conductors["B"].sentence.startswith(said)


def test_small_part_of_a_coat_lies_above_the_base_metal():
    """A thick silver coat: 95 % of |J| lies within the depth 1 - exp(-d / skin) = 0.95 below the coat's outside."""
    found = answered(1e6, (bar(0.02, 0.01, 0.001), (0.0, 0.0)), coats=(0.0005,))["c0"]
    skin = np.sqrt(2 / (2 * np.pi * 1e6 * 4e-7 * np.pi * MATERIALS["silver"].conductivity_at(20.0)))
    lower = next(f for f in found.faces if f.name == "lower face")
    assert lower.depth == pytest.approx(-np.log(0.05) * skin, rel=0.05)
