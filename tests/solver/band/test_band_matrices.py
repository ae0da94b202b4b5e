"""The matrices of a band with a bundle: what lags behind in it, eliminated and kept."""

from __future__ import annotations

import numpy as np
import pytest

from crosscurrent.geometries.meshing.mesher import mesh_section
from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.shapes import round_bar
from crosscurrent.solver.band.band_matrices import BandMatrices
from crosscurrent.solver.band.pencil import Pencil
from crosscurrent.solver.band.ports import Ports
from crosscurrent.solver.field.discretisation import Discretisation
from crosscurrent.solver.field.problem import Circuit, Conductor, Problem
from crosscurrent.solver.field.region_metals import region_metals, region_skins, smooth_metals
from crosscurrent.solver.metals.depth import MU0
from crosscurrent.solver.metals.materials import Material
from crosscurrent.solver.metals.strands import Strands

COPPER, FREQUENCY = Material("copper", 58e6), 2e5
LEAD = Conductor(Part("lead", round_bar(3e-3)), COPPER, strands=Strands(420, 1e-4))
ROD = Conductor(Part("rod", round_bar(2e-3).placed((4e-3, 0))), COPPER)
PROBLEM = Problem((LEAD, ROD), (Circuit("feed", 1.0, ("lead",), ("rod",)),))


@pytest.fixture(scope="module")
def pencil() -> Pencil:
    mesh = mesh_section(PROBLEM.section, region_skins(PROBLEM, 1e5))
    d = Discretisation(mesh, smooth_metals(PROBLEM, 1e6), 3)
    return Pencil(d, Ports(np.eye(2), np.eye(2)), 1e6)


def test_states_eliminated_leave_the_medium(pencil: Pencil) -> None:
    """K + s M with its states at s = j w is, in the potential alone, the stiffness with the medium's reluctivity."""
    matrices, n = pencil.matrices, pencil.matrices.unknowns
    field = np.random.default_rng(1).normal(size=(n, 1)) + 0j
    turning = 2j * np.pi * FREQUENCY
    tall = matrices.tall(field)
    for bundle, place, _, rate in matrices.states():
        tall[place] = rate / (turning + rate) * field[bundle.inside]
    found = matrices.stiffened(tall) + turning * MU0 * matrices.weighed(tall)
    d = Discretisation(pencil.discretisation.mesh, region_metals(PROBLEM, FREQUENCY), 3)
    expected = d.stiffness @ field + turning * MU0 * (d.mass @ field)
    scale = np.abs(expected).max()
    assert np.abs(found[:n] - expected).max() < 1e-8 * scale
    assert np.abs(found[n:]).max() < 1e-12 * scale


def test_a_solve_at_a_real_shift_is_one_of_the_whole(pencil: Pencil) -> None:
    matrices, rate = pencil.matrices, pencil.first_shift
    right = matrices.weighed(np.random.default_rng(2).normal(size=(matrices.count, 2)))
    right[: matrices.unknowns] -= pencil.load[: matrices.unknowns] @ (
        (pencil.discretisation.lift.T @ right[: matrices.unknowns]) / pencil.conductance[:, None]
    )
    found = pencil.shifted(rate)(right)
    back = matrices.stiffened(found) + rate * MU0 * matrices.weighed(found)
    sources = np.concatenate((pencil.lift_residual, pencil.load), axis=1)  # what its means take with them
    left = back - right
    left -= sources @ np.linalg.lstsq(sources, left, rcond=None)[0]
    assert np.abs(left).max() < 1e-9 * np.abs(right).max()
    np.testing.assert_allclose(pencil.load.T @ found, 0, atol=1e-9 * np.abs(found).max())


def test_matrices_are_symmetric_and_positive(pencil: Pencil) -> None:
    field = np.random.default_rng(3).normal(size=(pencil.matrices.count, 5))
    for times in (pencil.matrices.stiffened, pencil.matrices.weighed):
        product = field.T @ times(field)
        np.testing.assert_allclose(product, product.T, rtol=1e-9, atol=1e-12 * np.abs(product).max())
        assert np.linalg.eigvalsh(product).min() > 0


def test_without_bundles_nothing_is_added() -> None:
    mesh = mesh_section(PROBLEM.section, region_skins(PROBLEM, 1e3))
    d = Discretisation(mesh, smooth_metals(Problem((LEAD, ROD), ()))[1:] * 2, 2)
    matrices, field = BandMatrices(d), np.ones((3, 1))
    assert matrices.stiffest is d.stiffness
    assert matrices.tall(field) is field


def test_fields_of_the_order_below_are_the_same_at_the_nodes_of_this_one(pencil: Pencil) -> None:
    matrices, rng = pencil.matrices, np.random.default_rng(4)
    below, read = matrices.lowered
    field = rng.normal(size=(below.unknowns, 2))
    raised = matrices.raising @ field
    np.testing.assert_allclose(read @ raised, field, atol=1e-12)
    rows, places = np.arange(len(pencil.discretisation.mesh.triangles)), rng.dirichlet([1, 1, 1], 3)[:, 1:]
    for own, other in zip(raised.T, field.T, strict=True):
        found = pencil.discretisation.elements.value(own, rows, places)
        np.testing.assert_allclose(found, below.discretisation.elements.value(other, rows, places), atol=1e-12)
