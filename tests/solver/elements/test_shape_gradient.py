"""The derivative of integrals over a mesh whose nodes move, against the integrals on moved meshes."""

from dataclasses import replace

import numpy as np
import pytest

from crosscurrent.geometries.meshing.mesh import AIR
from crosscurrent.geometries.meshing.mesher import mesh_section
from crosscurrent.geometries.meshing.motion import Walls
from crosscurrent.geometries.plane.axial import whole
from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.section import Section
from crosscurrent.geometries.plane.shapes import bar, round_bar, tube
from crosscurrent.solver.elements import weighted
from crosscurrent.solver.elements.following import Following
from crosscurrent.solver.elements.half_plane import Weight
from crosscurrent.solver.elements.operators import Elements
from crosscurrent.solver.elements.shape_gradient import LocalFields, Moving, Weights, node_gradient


def integral(elements: Elements, e: np.ndarray, a: np.ndarray) -> float:
    """3 integral e^2 over the metal + 2 integral |grad a|^2 over all."""
    rows = elements.metal
    mass = np.einsum("ti,tij,tj->", e[elements.dofs[rows]], elements.mass_blocks, e[elements.dofs[rows]])
    every = a[elements.dofs]
    return float(3 * mass + 2 * np.einsum("ti,tij,tj->", every, elements.stiffness_blocks, every))


def test_gradient_is_that_of_the_integral_on_a_moved_mesh():
    section = Section((Part("bar", bar(0.02, 0.01)), Part("tube", tube(0.01, 0.002).placed((0.02, 0.0)))))
    mesh = mesh_section(section, [[np.inf], [np.inf]])
    elements = Elements(mesh, 3)
    rng = np.random.default_rng(1)
    e, a = rng.normal(size=(2, elements.count))
    inside = np.zeros(len(mesh.triangles))
    inside[elements.metal] = 1.0
    fields = LocalFields(e[elements.dofs][..., None] * inside[:, None, None] + 0j, a[elements.dofs][..., None] + 0j)
    weights = Weights(3.0 * (mesh.region != AIR)[:, None], np.full((len(mesh.triangles), 1), 2.0))
    gradient = node_gradient(elements, fields, fields, weights)[..., 0].real
    # a motion that turns circles into circles, so that curved sides stay on them: a shift and a stretch of everything
    for step in (np.array([0.3, -0.2]) + 0 * mesh.points, mesh.points - mesh.centre):
        values = []
        for sign in (-1e-6, 1e-6):
            moved = replace(
                mesh, points=mesh.points + sign * step,
                curved_edge_centres=mesh.curved_edge_centres + sign * _at(step, mesh.centre, mesh.curved_edge_centres),
                polar_centres=mesh.polar_centres + sign * _at(step, mesh.centre, mesh.polar_centres),
            )  # fmt: skip
            values.append(integral(Elements(moved, 3), e, a))
        wanted = (values[1] - values[0]) / 2e-6
        size = float((np.abs(gradient) * np.abs(step)).sum())
        assert abs(float((gradient * step).sum()) - wanted) < 1e-8 * size


def test_round_the_axis_it_holds_for_functions_that_fall_to_it(monkeypatch: pytest.MonkeyPatch):
    """Random fields are far rougher than those of currents: with all places that 1e-8 takes."""
    for name, value in (("SPARED", 0), ("SLOPED", 20.0), ("BESIDE", 8)):
        monkeypatch.setattr(weighted, name, value)
    ball, turn = Part("ball", whole(round_bar(0.03))), Part("turn", round_bar(0.004).placed((0.02, 0.004)))
    mesh = mesh_section(Section((ball, turn), axial=True), [[np.inf], [np.inf]])
    elements = Elements(mesh, 3, Weight.FLUX)
    e, a = np.random.default_rng(1).normal(size=(2, elements.count))
    inside = np.zeros(len(mesh.triangles))
    inside[elements.metal] = 1.0
    fields = LocalFields(e[elements.dofs][..., None] * inside[:, None, None] + 0j, a[elements.dofs][..., None] + 0j)
    weights = Weights(3.0 * (mesh.region != AIR)[:, None], np.full((len(mesh.triangles), 1), 2.0))
    gradient = node_gradient(elements, fields, fields, weights)[..., 0].real
    for step, growth in ((np.array([0.0, 0.3]) + 0 * mesh.points, 0.0), (mesh.points - mesh.centre, 1.0)):
        values = []
        for sign in (-1e-6, 1e-6):
            moved = replace(
                mesh, points=mesh.points + sign * step, radius=mesh.radius * (1 + sign * growth),
                curved_edge_centres=mesh.curved_edge_centres + sign * _at(step, mesh.centre, mesh.curved_edge_centres),
                polar_centres=mesh.polar_centres + sign * _at(step, mesh.centre, mesh.polar_centres),
            )  # fmt: skip
            values.append(integral(Elements(moved, 3, Weight.FLUX), e, a))
        wanted = (values[1] - values[0]) / 2e-6
        size = float((np.abs(gradient) * np.abs(step)).sum())
        assert abs(float((gradient * step).sum()) - wanted) < 1e-8 * size


def test_in_the_half_plane_the_axis_stays_where_it_is():
    ball, turn = Part("ball", whole(round_bar(0.03))), Part("turn", round_bar(0.004).placed((0.02, 0.004)))
    mesh = mesh_section(Section((ball, turn), axial=True), [[np.inf], [np.inf]])
    walls = Walls.of(mesh, Section((ball, turn), axial=True).parts).nodes
    follow = Following(Elements(mesh, 1), walls)
    on_axis = mesh.points[:, 0] == 0
    gradient = np.zeros((len(mesh.points), 2, 1))
    gradient[on_axis, 0] = 1.0
    assert not follow.on_walls(gradient)[~on_axis[walls]].any()
    gradient = np.zeros((len(mesh.points), 2, 1))
    gradient[:, 1] = np.random.default_rng(2).normal(size=(len(mesh.points), 1))
    # all walls along the axis by one step take all nodes along
    assert follow.on_walls(gradient)[:, 1].sum() == pytest.approx(gradient.sum(), rel=1e-9)


def _at(step: np.ndarray, centre: np.ndarray, places: np.ndarray) -> np.ndarray:
    """The same motion at other places."""
    return step[:1] + 0 * places if np.ptp(step, axis=0).max() == 0 else places - centre


def test_walls_that_move_alike_take_everything_between_along():
    mesh = mesh_section(Section((Part("tube", tube(0.01, 0.002)),)), [[np.inf]])
    walls = np.unique(mesh.faces[:, :2])
    follow = Following(Elements(mesh, 1), walls)
    inside = np.setdiff1d(np.unique(mesh.triangles[mesh.region != AIR]), walls)
    assert len(inside)
    gradient = np.zeros((len(mesh.points), 2, 1), dtype=complex)
    gradient[inside[0], 0] = 1.0
    np.testing.assert_allclose(follow.on_walls(gradient).sum(axis=0)[:, 0], [1.0, 0.0], atol=1e-12)


def test_a_mesh_without_other_nodes_than_walls():
    mesh = mesh_section(Section((Part("tube", tube(0.01, 0.002)),)), [[np.inf]])
    inner = np.setdiff1d(np.arange(len(mesh.points)), mesh.truncation_edges)
    gradient = np.ones((len(mesh.points), 2, 1), dtype=complex)
    found = Following(Elements(mesh, 1), inner).on_walls(gradient)
    np.testing.assert_allclose(found.sum(axis=0)[:, 0], len(mesh.points))  # of a shift of the whole


def test_the_circle_grows_with_its_walls():
    mesh = mesh_section(Section((Part("tube", tube(0.01, 0.002)),)), [[np.inf]])
    follow = Following(Elements(mesh, 1), np.unique(mesh.faces[:, :2]))
    larger = 1e-3 * (mesh.points[follow.walls] - mesh.centre)
    turned = 1e-3 * (mesh.points[follow.walls] - mesh.centre)[:, ::-1] * [-1, 1]
    assert float((follow.growth * larger).sum()) == pytest.approx(1e-3, rel=1e-12)
    assert abs((follow.growth * turned).sum()) < 1e-15


def test_nodes_carried_along_are_the_other_side_of_what_walls_gain():
    """gradient . (motion of all nodes) = (gradient on the walls) . (motion of the walls)."""
    ball, turn = Part("ball", whole(round_bar(0.03))), Part("turn", round_bar(0.004).placed((0.02, 0.004)))
    plane = Section((Part("bar", bar(0.02, 0.01)), Part("tube", tube(0.01, 0.002).placed((0.02, 0.0)))))
    for section in (plane, Section((ball, turn), axial=True)):
        mesh = mesh_section(section, [[np.inf], [np.inf]])
        walls = Walls.of(mesh, section.parts).nodes
        follow, rng = Following(Elements(mesh, 1), walls), np.random.default_rng(4)
        gradient, motion = rng.normal(size=(*mesh.points.shape, 1)), rng.normal(size=(len(walls), 2, 3))
        if section.axial:  # what lies on the axis stays there
            motion[mesh.points[walls, 0] == 0, 0] = 0.0
        on_walls = follow.on_walls(gradient)[..., 0]
        np.testing.assert_allclose(
            np.tensordot(gradient[..., 0], follow.carried(motion), 2), np.tensordot(on_walls, motion, 2), rtol=1e-9
        )


@pytest.mark.parametrize("count", [3, 9])
@pytest.mark.parametrize("axial", [False, True])
def test_many_motions_at_once_gain_what_the_gradient_has(axial: bool, count: int):
    """Also where a follows from e in the metal, which is then taken once."""
    ball, turn = Part("ball", whole(round_bar(0.03))), Part("turn", round_bar(0.004).placed((0.02, 0.004)))
    plane = Section((Part("bar", bar(0.02, 0.01)), Part("tube", tube(0.01, 0.002).placed((0.02, 0.0)))))
    mesh = mesh_section(Section((ball, turn), axial=True) if axial else plane, [[np.inf], [np.inf]])
    elements, rng = Elements(mesh, 3, Weight.FLUX if axial else Weight.PLANE), np.random.default_rng(7)
    e, a = rng.normal(size=(2, elements.count, 1)) + 1j * rng.normal(size=(2, elements.count, 1))
    metal, linked = mesh.region != AIR, 0.3 - 2j
    e, a = np.where(metal[:, None, None], e[elements.dofs], 0.0), a[elements.dofs]
    a[metal] = linked * e[metal]
    fields = LocalFields(e, a)
    weights = Weights(3.0 * metal[:, None], np.full((len(mesh.triangles), 1), 2.0))
    nodes = rng.normal(size=(*mesh.points.shape, count))
    nodes[mesh.points[:, 0] == 0, 0] *= not axial
    wanted = np.tensordot(node_gradient(elements, fields, fields, weights)[..., 0], nodes, 2)
    found = np.zeros((2, count), dtype=complex)
    for one, ways in Moving(elements, nodes).gains(elements, fields, weights):
        inside = np.flatnonzero(metal[one.rows])
        apart = LocalFields(e[one.rows[inside]], a[one.rows][~metal[one.rows]], inside, linked)
        for k, others in enumerate((LocalFields(e[one.rows], a[one.rows]), apart)):
            gained = one.with_others(others, at_rest=False)[0, ..., 0]
            found[k] += gained.sum(axis=0) if ways is None else np.einsum("tw,twm->m", gained, ways)
    np.testing.assert_allclose(found, [wanted, wanted], atol=1e-10 * np.abs(wanted).max())
