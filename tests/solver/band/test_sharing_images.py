"""Images and forms of a basis that grows: against the matrices themselves on all of it at once."""

from __future__ import annotations

import numpy as np
import pytest

from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.shapes import round_bar
from crosscurrent.solver.band.band_matrices import BandMatrices
from crosscurrent.solver.band.band_mesh import band_mesh
from crosscurrent.solver.band.sharing_images import SharingImages, enlarged
from crosscurrent.solver.field.discretisation import Discretisation
from crosscurrent.solver.field.problem import Circuit, Conductor, Problem
from crosscurrent.solver.field.region_metals import smooth_metals
from crosscurrent.solver.metals.depth import MU0
from crosscurrent.solver.metals.materials import MATERIALS
from crosscurrent.solver.metals.strands import Strands

HIGH = 3e5


@pytest.fixture(scope="module")
def matrices() -> BandMatrices:
    """A straight bundle beside a rod."""
    strands = Strands(120, 1e-4, lay="straight")
    lead = Conductor(Part("a", round_bar(1.5e-3)), MATERIALS["copper"], strands=strands)
    rod = Conductor(Part("b", round_bar(1e-3).placed((2e-3, 0.0))), MATERIALS["copper"])
    problem = Problem((lead, rod), (Circuit("feed", 1.0, ("a",), ("b",)),))
    return BandMatrices(Discretisation(band_mesh(problem, HIGH, HIGH), smooth_metals(problem, HIGH), 2))


def test_vectors_that_come_one_after_the_other_are_as_all_at_once(matrices: BandMatrices) -> None:
    (bundle,), rng = matrices.sharing, np.random.default_rng(3)
    vectors, (stiff, heavy) = rng.normal(size=(matrices.count, 5)), rng.normal(size=(2, 5, 2))
    images = SharingImages(bundle, 7)
    for some in (slice(0, 1), slice(1, 3), slice(3, 5)):
        images.add(vectors[:, some])
        if some.start != 1:
            images.project()
    for found, image in zip(images.projected, (bundle.stiffened(vectors), bundle.weighed(vectors)), strict=True):
        np.testing.assert_allclose(found, vectors.T @ image, rtol=1e-12, atol=1e-12 * np.abs(found).max())
    expected = bundle.stiffened(vectors @ stiff) + MU0 * bundle.weighed(vectors @ heavy)
    np.testing.assert_allclose(images.summed(stiff, heavy), expected[bundle.inside], atol=1e-12 * expected.max())


def test_a_symmetric_matrix_grows_by_columns() -> None:
    whole = np.array([[1.0, 2.0, 3.0], [2.0, 5.0, 6.0], [3.0, 6.0, 9.0]])
    assert (enlarged(whole[:1, :1], whole[:, 1:]) == whole).all()
    assert (enlarged(np.zeros((0, 0)), whole) == whole).all()
