"""Forms of Maxwell's stress: symmetric, and the lines' force from fields put in by hand."""

import numpy as np

from crosscurrent.geometries.meshing.mesher import mesh_section
from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.section import Section
from crosscurrent.geometries.plane.shapes import bar
from crosscurrent.solver.elements.operators import Elements
from crosscurrent.solver.field.stress import stress_forms


def air(elements: Elements) -> np.ndarray:
    """Nothing magnetic anywhere."""
    return np.ones(len(elements.dofs))


def test_forms_are_symmetric_and_blind_to_constants() -> None:
    parts = tuple(Part(n, bar(0.02, 0.01).placed((0.0, y))) for n, y in (("a", 0.0), ("b", 0.012)))
    elements = Elements(mesh_section(Section(parts), [[3e-3], [3e-3]]), 2)
    random = np.random.default_rng(1).normal(size=(elements.count, 2))
    for pair in stress_forms(elements, np.column_stack((random, np.ones(elements.count))), air(elements)):
        for form in pair:
            np.testing.assert_array_equal(form, form.T)
            assert np.abs(form[2]).max() < 1e-9 * np.abs(form).max()


def test_forms_of_sums_are_sums_of_forms() -> None:
    elements = Elements(mesh_section(Section((Part("a", bar(0.02, 0.01)),)), [[3e-3]]), 2)
    fields, weights = np.random.default_rng(2).normal(size=(elements.count, 3)), np.array([1.0, -2.0, 0.5])
    (whole,), (each,) = (stress_forms(elements, f, air(elements)) for f in ((fields @ weights)[:, None], fields))
    for one, parts in zip(whole, each, strict=True):
        np.testing.assert_allclose(one[0, 0], weights @ parts @ weights, rtol=1e-9)
