"""The density of the loss adds up to the loss, in bundles of every lay too."""

from __future__ import annotations

import numpy as np
import pytest

from crosscurrent.geometries.meshing.shape_functions import quadrature
from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.shapes import bar, round_bar
from crosscurrent.solver.field.loss_density import loss_density
from crosscurrent.solver.field.problem import Circuit, Conductor, Problem
from crosscurrent.solver.field.solve import solve
from crosscurrent.solver.metals.materials import MATERIALS
from crosscurrent.solver.metals.strands import Lay, Strands


@pytest.mark.parametrize("lay", ["transposed", "straight"])
def test_it_adds_up_to_the_power_that_the_terminals_take_in(lay: Lay) -> None:
    copper = MATERIALS["copper"]
    lead = Conductor(Part("lead", round_bar(3e-3)), copper, strands=Strands(420, 1e-4, lay=lay))
    rail = Conductor(Part("bar", bar(10e-3, 3e-3).placed((0.0, -5e-3))), copper)
    circuit = Circuit("feed", 10.0, ("lead",), ("bar",))
    flow = solve(Problem((lead, rail), (circuit,)), 200e3, accuracy=1e-4).fine
    e = flow.discretisation.elements
    places, weights = quadrature(2 * e.order)
    total = (loss_density(flow, e.metal, places) * e.maps(e.metal, places)[0] * weights).sum()
    assert total == pytest.approx(10.0 * flow.circuit(circuit).real, rel=1e-6)
    assert loss_density(flow, e.metal, places).min() >= 0
    air = np.setdiff1d(np.arange(len(flow.discretisation.mesh.triangles)), e.metal)
    assert not loss_density(flow, air, places).any()


def test_that_of_rings_adds_up_where_it_jumps_from_ring_to_ring() -> None:
    """By the mean over many random points, the field of a bar beside it included."""
    copper = MATERIALS["copper"]
    lead = Conductor(Part("lead", round_bar(3e-3)), copper, strands=Strands(420, 1e-4, lay="concentric"))
    rail = Conductor(Part("bar", bar(10e-3, 3e-3).placed((0.0, -5e-3))), copper)
    flow = solve(Problem((lead, rail), (Circuit("feed", 10.0, ("lead",), ("bar",)),)), 200e3, accuracy=1e-4).fine
    e = flow.discretisation.elements
    rows = np.flatnonzero(flow.discretisation.mesh.part == 0)
    rng, total, number = np.random.default_rng(1), 0.0, 100
    cells = np.stack(np.meshgrid(np.arange(number), np.arange(number)), axis=-1).reshape(-1, 2)
    for row in rows[:, None]:
        drawn = (cells + rng.random(cells.shape)) / number  # one in every cell, anew in every triangle
        places = np.where(drawn.sum(axis=1, keepdims=True) > 1, 1 - drawn, drawn)
        total += float((loss_density(flow, row, places) * e.maps(row, places)[0]).mean() / 2)
    assert total == pytest.approx(flow.powers[0].real, rel=1e-3)
