"""The energy of the change between two orders, triangle by triangle."""

import numpy as np
import pytest
from common import alone, conductor, metal, rod

from crosscurrent.geometries.meshing.mesh import AIR
from crosscurrent.geometries.meshing.mesher import mesh_section
from crosscurrent.geometries.plane import shapes
from crosscurrent.solver.field.discretisation import Discretisation, RegionMetal
from crosscurrent.solver.field.indicator import at_corners, changed_in_air, indicators, left_at_corners
from crosscurrent.solver.field.solved_flow import SolvedFlow
from crosscurrent.solver.field.unit_fields import solve_fields

WIRE = alone(rod("wire", 0.01))
BAR = alone(conductor("bar", shapes.bar(0.02, 0.01), material=metal(6.99e6, 200)))


def flows(problem: object, permeability: float = 1.0) -> list[SolvedFlow]:
    """Of orders 4, 3 and 2."""
    mesh = mesh_section(problem.section, [[2e-3]])  # type: ignore[attr-defined]
    metals = (RegionMetal(58e6, permeability),)
    return [
        SolvedFlow.of(problem, solve_fields(Discretisation(mesh, metals, order), 500.0, lifted=False))  # type: ignore[arg-type]
        for order in (4, 3, 2)
    ]


@pytest.fixture(scope="module")
def wire() -> list[SolvedFlow]:
    return flows(WIRE)


def test_nothing_changes_between_a_flow_and_itself(wire: list[SolvedFlow]) -> None:
    change = indicators(wire[0], wire[1])
    assert (change >= 0).all()
    assert indicators(wire[0], wire[0]).max() < 1e-20 * change.sum()


def test_a_higher_order_changes_less(wire: list[SolvedFlow]) -> None:
    assert indicators(wire[0], wire[1]).sum() < 0.1 * indicators(wire[1], wire[2]).sum()


def test_the_air_has_its_share(wire: list[SolvedFlow]) -> None:
    change = indicators(wire[1], wire[2])
    air = change[wire[1].discretisation.mesh.region == AIR].sum()
    assert changed_in_air(wire[1], wire[2]) == pytest.approx(air, rel=1e-12)
    assert air < change.sum()


def test_it_goes_with_the_square_of_the_current(wire: list[SolvedFlow]) -> None:
    double = [SolvedFlow(f.problem, f.fields, 2 * f.currents, 2 * f.voltages) for f in wire[:2]]
    np.testing.assert_allclose(indicators(*double), 4 * indicators(wire[0], wire[1]), rtol=1e-12)


def test_corners_of_steel_leave_more_than_changed(wire: list[SolvedFlow]) -> None:
    """p^2 / (2 p + 1) of the order below at most, nothing more where no corner is."""
    assert left_at_corners(wire[0], indicators(wire[0], wire[1])) == 1.0
    fine, coarse, _ = flows(BAR, 200.0)
    assert 1.0 < left_at_corners(fine, indicators(fine, coarse)) <= 3**2 / (2 * 3 + 1)


def test_triangles_at_a_corner_know_its_number(wire: list[SolvedFlow]) -> None:
    mesh = wire[0].discretisation.mesh
    corner = int(mesh.triangles[0, 0])
    touched = at_corners(mesh, np.array([corner]))
    np.testing.assert_array_equal(touched == 0, (mesh.triangles == corner).any(axis=1))
    assert set(touched) == {-1, 0}
