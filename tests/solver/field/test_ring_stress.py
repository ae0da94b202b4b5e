"""What a force round an axis changes with, against the forms of the stress, and on meshes whose nodes moved."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from crosscurrent.geometries.meshing.mesh import Mesh
from crosscurrent.geometries.meshing.mesher import mesh_section
from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.section import Section
from crosscurrent.geometries.plane.shapes import bar
from crosscurrent.solver.elements import weighted
from crosscurrent.solver.elements.half_plane import Weight
from crosscurrent.solver.elements.operators import Elements
from crosscurrent.solver.field.ring_stress import RingStress
from crosscurrent.solver.field.stress import stress_forms, surroundings


@pytest.mark.parametrize("way", [np.array([0.0, 1.0]), np.array([1.0, 0.0])], ids=["along", "outward"])
@pytest.mark.parametrize("stiff", [1.0, 0.02])
def test_round_an_axis(way: np.ndarray, stiff: float, monkeypatch: pytest.MonkeyPatch) -> None:
    """Force, loads and what more reluctivity does against the forms of the stress; what nodes do, on a moved mesh.

    Random fields are far rougher than those of currents: with all places that 1e-9 takes.
    """
    monkeypatch.setattr(weighted, "SPARED", 0)
    monkeypatch.setattr(weighted, "SLOPED", 13.8)
    parts = Part("a", bar(0.004, 0.01).placed((0.02, 0.0))), Part("b", bar(0.004, 0.006).placed((0.03, 0.002)))
    mesh = mesh_section(Section(parts, axial=True), [[2e-3], [2e-3]])
    nu, metal = np.ones(len(mesh.triangles)), mesh.part == 0
    nu[metal] = stiff

    def by_form(of: Mesh, field: np.ndarray, reluctivity: np.ndarray) -> float:
        x, y = stress_forms(Elements(of, 3, Weight.FLUX), field[:, None], reluctivity)[0]
        return float(way[0] * x[0, 0] + way[1] * y[0, 0])

    one, other = (np.random.default_rng(k).normal(size=Elements(mesh, 3).count) for k in (3, 4))
    elements = Elements(mesh, 3, Weight.FLUX)
    around = next(surroundings(mesh, elements.metal, nu))
    places = RingStress.of(elements, [around], way[None], np.where(metal, nu, 0.0)[None])
    ((found,),) = places.gradients(elements, one[None, None])
    assert found.force == pytest.approx(by_form(mesh, one, nu), rel=1e-9)
    gained = (by_form(mesh, one + other, nu) - by_form(mesh, one - other, nu)) / 2
    assert 2 * found.load @ other == pytest.approx(gained, rel=1e-9)
    if stiff != 1.0:  # else a jump begins, around whose corners the stress is not taken
        more = by_form(mesh, one, np.where(metal, nu + 0.01, nu)) - by_form(mesh, one, nu)
        assert 0.01 * found.at_regions[0] == pytest.approx(more, rel=1e-7, abs=1e-9 * abs(found.force))
    step = np.random.default_rng(5).normal(size=mesh.points.shape) * 1e-4
    step[np.unique(mesh.triangles[mesh.curved])] = 0.0
    step[np.unique(mesh.triangles[(mesh.points[mesh.triangles, 0] == 0).any(axis=1)])] = 0.0
    ends = [by_form(replace(mesh, points=mesh.points + sign * 1e-3 * step), one, nu) for sign in (-1, 1)]
    assert (found.at_nodes * step).sum() == pytest.approx((ends[1] - ends[0]) / 2e-3, rel=1e-5)
