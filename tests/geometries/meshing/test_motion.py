"""Where walls go when a section changes a little."""

import numpy as np
import pytest

from crosscurrent.geometries.errors import GeometryError
from crosscurrent.geometries.meshing.mesher import mesh_section
from crosscurrent.geometries.meshing.motion import Walls, stays
from crosscurrent.geometries.plane.outline import Outline
from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.section import Section
from crosscurrent.geometries.plane.shapes import Shape, angle, bar, round_bar, tube

HAIR = 1e-9


def moved(before: Part, after: Part) -> tuple[np.ndarray, np.ndarray]:
    """Places of all nodes on walls and their motion per unit of a hair."""
    mesh = mesh_section(Section((before,)), [[np.inf] * (1 + len(before.layers) + len(before.pieces))])
    walls = Walls.of(mesh, [before])
    return mesh.points[walls.nodes], walls.motion([[after]])[..., 0] / HAIR


def test_wider_bar_moves_its_ends_only():
    place, motion = moved(Part("bar", bar(0.04, 0.01)), Part("bar", bar(0.04 + HAIR, 0.01)))
    ends = np.abs(np.abs(place[:, 0]) - 0.02) < 1e-12
    np.testing.assert_allclose(motion[ends, 0], 0.5 * np.sign(place[ends, 0]), atol=1e-6)
    np.testing.assert_allclose(motion[:, 1], 0, atol=1e-6)


def test_rigid_part_moves_as_a_whole_coats_included():
    one = Part("tube", tube(0.02, 0.003), (1e-4, 5e-5), (2e-4,))
    _, motion = moved(one, Part("tube", tube(0.02, 0.003).placed((HAIR, 2 * HAIR)), one.coats, one.bore_coats))
    np.testing.assert_allclose(motion, np.tile([1.0, 2.0], (len(motion), 1)), atol=1e-6)


def test_every_wall_of_a_plated_tube_moves_by_what_lies_below_it():
    thick = (1e-4, 5e-5), (2e-4,)
    one, other = (Part("tube", tube(0.02, 0.003), (t, thick[0][1]), (b,)) for t, b in
                  ((thick[0][0], thick[1][0]), (thick[0][0] + HAIR, thick[1][0] + HAIR)))  # fmt: skip
    place, motion = moved(one, other)
    radius = np.hypot(*place.T)
    outward = (motion * place).sum(axis=1) / radius
    wanted = np.select([radius > 0.01005, radius < 0.00695], [1.0, -1.0], 0.0)
    np.testing.assert_allclose(outward, wanted, atol=1e-6)


def test_hollow_corner_of_a_coat_follows_both_sides():
    one, other = (Part("L", angle(0.03, 0.04, 0.01), (t,)) for t in (1e-3, 1e-3 + HAIR))
    place, motion = moved(one, other)
    corner = np.hypot(*(place - [-0.015 + 0.011, -0.02 + 0.011]).T) < 1e-9
    assert corner.sum() == 1
    np.testing.assert_allclose(motion[corner][0], [1.0, 1.0], atol=1e-6)


def test_piece_moves_apart_from_what_it_is_pressed_against():
    def clad(width: float) -> Part:
        return Part("clad", bar(0.04, 0.01), pieces=(bar(width, 0.004).placed((0.0, 0.007)),))

    place, motion = moved(clad(0.02), clad(0.02 + HAIR))
    ends = (np.abs(np.abs(place[:, 0]) - 0.01) < 1e-9) & (place[:, 1] > 0.005 - 1e-9)
    np.testing.assert_allclose(motion[ends, 0], 0.5 * np.sign(place[ends, 0]), atol=1e-6)
    below = place[:, 1] < 0.005 - 1e-9
    np.testing.assert_allclose(motion[below], 0, atol=1e-6)


def test_parts_that_stay_do_not_move():
    rod = Part("rod", round_bar(0.01))
    assert not moved(rod, Part("rod", round_bar(0.01)))[1].any()


def test_other_sides_are_refused():
    sharp, rounded = Part("bar", bar(0.04, 0.01)), Part("bar", bar(0.04, 0.01, 1e-6))
    with pytest.raises(GeometryError, match='gives "bar" other sides'):
        moved(sharp, rounded)


def test_arcs_of_another_angle_are_refused():
    """Their curvature changes between the nodes, which the motion of the nodes does not tell."""
    flat, steep = (Part("lens", Shape(Outline.of([(0, 0), (0.01, 0)], [b, b]))) for b in (0.5, 0.5 + 1e-6))
    mesh = mesh_section(Section((flat,)), [[np.inf]])
    with pytest.raises(GeometryError, match='an arc of "lens" another angle'):
        Walls.of(mesh, [flat]).motion([[steep]])


@pytest.mark.parametrize(("bulge", "refused"), [(0.3, True), (-0.2, False)])
def test_coats_over_a_hollow_corner_at_an_arc_that_turns_are_refused(bulge, refused):
    """Where the offset arc ends in the corner slides along it."""
    one, other = (
        Part("a", Shape(Outline.of([(0, 0), (3, 0), (3, 1.5), (x, 2), (0, 2)], [0, 0, bulge, 0, 0])), (0.01,))
        for x in (1.0, 1.0 + 1e-6)
    )
    if refused:
        with pytest.raises(GeometryError, match="hollow corner"):
            stays(one, other)
    else:
        assert not stays(one, other)
