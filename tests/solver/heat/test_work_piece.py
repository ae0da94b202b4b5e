"""Volumes and surfaces round an axis against closed forms; heat of a flow."""

import numpy as np
import pytest
from heated_pieces import piece

from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.shapes import bar, round_bar
from crosscurrent.solver.field.probe import Probe
from crosscurrent.solver.field.problem import Circuit, Conductor, Problem
from crosscurrent.solver.field.solve import solve
from crosscurrent.solver.heat.work_piece import WorkPiece
from crosscurrent.solver.metals.materials import Material


@pytest.mark.parametrize(
    ("shape", "volume", "area"),
    [
        (round_bar(0.06), 4 / 3 * np.pi * 0.03**3, 4 * np.pi * 0.03**2),
        (bar(0.06, 0.16), np.pi * 0.03**2 * 0.16, 2 * np.pi * 0.03 * (0.03 + 0.16)),
        (round_bar(0.02).placed((0.05, 0.0)), 2 * np.pi**2 * 0.05 * 0.01**2, 4 * np.pi**2 * 0.05 * 0.01),  # Pappus
    ],
)
def test_volume_and_surface(shape, volume, area):
    found = piece(shape, 6).piece
    assert found.volume.sum() == pytest.approx(volume, rel=1e-9)
    assert found.heat_capacity.sum() == pytest.approx(volume * 7800 * 500, rel=1e-9)
    assert found.surface.area.sum() == pytest.approx(area, rel=1e-9)
    assert np.abs(found.conduction.sum(axis=1)).max() < 1e-9 * np.abs(found.conduction).max()
    outward = found.surface.values @ found.positions
    assert np.abs(outward - found.surface.place.reshape(-1, 2)).max() < 1e-9  # functions at their places
    # mean outward normal of a closed surface: none along z
    assert abs((found.surface.normal[..., 1].ravel() * found.surface.area).sum()) < 1e-9 * area


def billet():
    rod = Conductor(Part("billet", bar(0.04, 0.06)), Material("own", 5e6, thermal_conductivity=30.0))
    turn = Conductor(Part("turn", round_bar(0.006).placed((0.03, 0.0))), Material("copper", 58e6))
    return solve(Problem((rod, turn), (Circuit("coil", 100.0, ("turn",)),), axial=True), 5e3)


def test_the_heat_of_a_flow_is_its_loss_where_it_sits():
    solution = billet()
    flow, mesh = solution.fine, solution.fine.discretisation.mesh
    power = float(flow.powers.real[0])
    found = WorkPiece.of(mesh, 4, 0, np.array([30.0, 390.0]), np.array([4e6, 3.4e6]))
    load = found.load(flow, power)
    assert load.sum() == pytest.approx(power, rel=1e-12)
    # as Poynting's vector has it, all arises in the skin below the surface: 3 mm
    depth = 0.02 - found.positions[:, 0]
    assert load[depth < 0.008].sum() > 0.98 * power * 0.9
    assert found.load(flow, 0.0).sum() == 0.0


def test_heat_from_another_mesh_is_the_same():
    one, other = billet(), billet()
    flow = one.fine
    number, power = 0, float(flow.powers.real[0])
    there = WorkPiece.of(other.fine.discretisation.mesh, 3, number, np.array([30.0, 390.0]), np.array([4e6, 3.4e6]))
    own = there.load(other.fine, power)
    assert there.load(flow, power, Probe(other.fine)) == pytest.approx(own, rel=1e-6, abs=1e-9 * power)
