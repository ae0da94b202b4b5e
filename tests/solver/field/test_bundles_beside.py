"""Bundles beside a plated bar and a steel wall: as one medium against every strand solved for as a wire of its own.

Wires of solid metal beside plated and magnetic ones are held against outside values in `test_circuits` and elsewhere.
"""

from __future__ import annotations

import math

import pytest

from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.shapes import bar, outline, round_bar
from crosscurrent.solver.field.problem import Bound, Circuit, Conductor, Problem
from crosscurrent.solver.field.solve import solve
from crosscurrent.solver.metals.materials import MATERIALS, Material
from crosscurrent.solver.metals.strand_layout import Layout, reach, rings, strand_places
from crosscurrent.solver.metals.strands import Lay, Strands

COPPER, MM, COUNT, SIZE, PITCH, FREQUENCY = MATERIALS["copper"], 1e-3, 37, 0.2e-3, 0.24e-3, 85e3
RAIL = Conductor(
    Part("rail", bar(8 * MM, 2 * MM).placed((0.0, -2.2 * MM)), (0.02 * MM,)), MATERIALS["brass"],
    coats=(MATERIALS["silver"],),
)  # fmt: skip
WALL = Conductor(Part("wall", bar(8 * MM, 1 * MM).placed((0.0, 1.8 * MM))), Material("steel", 7e6, permeability=100.0))


@pytest.mark.parametrize(("lay", "near"), [("transposed", 1e-3), ("concentric", 1e-3), ("straight", 1e-2)])
def test_losses_beside_plated_and_magnetic_metal(lay: Lay, near: float) -> None:
    ringed, side = lay == "concentric", PITCH * math.sqrt(COUNT / 3)
    corners = [(side * math.cos(k * math.pi / 3), side * math.sin(k * math.pi / 3)) for k in range(6)]
    layout: Layout = "rings" if ringed else "hexagonal"
    shape = round_bar(PITCH * (1 + 2 * reach(COUNT, "rings"))) if ringed else outline(corners)
    lead = Conductor(Part("lead", shape), COPPER, strands=Strands(COUNT, SIZE, layout, lay))
    feed = Circuit("feed", 10.0, ("lead",), ("rail",))
    found = solve(Problem((lead, RAIL, WALL), (feed,)), FREQUENCY)
    places = (PITCH * strand_places(COUNT, layout)).tolist()
    wires = [Conductor(Part(f"lead.{k}", round_bar(SIZE).placed(at)), COPPER) for k, at in enumerate(places)]
    names = tuple(wire.name for wire in wires)
    loop = Circuit("feed", 10.0, names, ("rail",))
    bundle = Bound("lead", names, lay, rings(COUNT, layout))
    expected = solve(Problem((*wires, RAIL, WALL), (loop,), bundles=(bundle,)), FREQUENCY, accuracy=1e-3)
    losses = expected.fine.powers.real
    assert found.fine.powers.real == pytest.approx([losses[:COUNT].sum(), *losses[COUNT:]], rel=near)
    whole, each = found.fine.circuit(feed), expected.fine.circuit(loop)
    resistance, inductance = found.circuit_errors(feed)
    assert abs(whole.real / each.real - 1) < resistance
    assert abs(whole.imag / each.imag - 1) < min(inductance, 5e-3)
