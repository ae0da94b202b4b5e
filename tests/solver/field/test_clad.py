"""Conductors of several pieces pressed together: one voltage, their metals side by side."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from crosscurrent.casefile.reader import read_case
from crosscurrent.geometries.errors import GeometryError
from crosscurrent.geometries.meshing.mesher import mesh_section
from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.section import Section
from crosscurrent.geometries.plane.shapes import Shape, bar, outline, round_bar, tube
from crosscurrent.postprocess.answers.answers import Answers, answers
from crosscurrent.run import solve_case
from crosscurrent.solver.field.problem import Circuit, Conductor, Problem
from crosscurrent.solver.field.solve import solve
from crosscurrent.solver.metals.materials import MATERIALS, Material

COPPER = MATERIALS["copper"]
MM = 1e-3


def solved(main: Conductor, frequency: float, accuracy: float = 1e-6) -> Answers:
    back = Conductor(Part("back", bar(40 * MM, 6 * MM).placed((0, -10 * MM))), COPPER)
    circuit = Circuit("feed", 1.0, (main.name,), ("back",))
    return answers(solve(Problem((main, back), (circuit,)), frequency, accuracy=accuracy))


def rail(piece: Shape, metal: Material) -> Conductor:
    """A 40 x 6 mm copper bar with a piece on it."""
    return Conductor(Part("rail", bar(40 * MM, 6 * MM), pieces=(piece,)), COPPER, pieces=(metal,))


ON_TOP = bar(20 * MM, 4 * MM).placed((3 * MM, 5 * MM))


LEAN = [(-5.9, -3), (-9.4, -4.6), (5.9, -3)]  # leaves a notch of 25 degrees between itself and the bar, and one of 6
NOTCHED = [(-20, -3), *LEAN, (20, -3), (20, 3), (-20, 3)]


def test_a_piece_that_leaves_a_sharp_notch_is_one_outline_with_the_bar() -> None:
    """Of one metal, whatever the mesh at the seam: losses and forces of the bar with its notch drawn as one outline."""
    back = Conductor(Part("back", bar(30 * MM, 6 * MM).placed((0, -8.6 * MM))), COPPER)
    piece, whole = (outline([(x * MM, y * MM) for x, y in corners]) for corners in (LEAN, NOTCHED))
    found = []
    for main in (rail(piece, COPPER), Conductor(Part("rail", whole), COPPER)):
        circuit = Circuit("feed", 1000.0, ("rail",), ("back",))
        found.append(solve(Problem((main, back), (circuit,)), 1e3, accuracy=1e-5))
    (force, other), (loss, same) = zip(*((s.fine.force[0, 1], s.fine.powers[0].real) for s in found), strict=True)
    assert abs(force - other) <= sum(s.force_errors[0] for s in found) < 2e-5 * abs(force)
    assert abs(loss - same) <= sum(s.power_errors[0] for s in found) < 3e-5 * loss


@pytest.mark.parametrize("frequency", [0.0, 50.0])
def test_a_steel_piece_with_sharp_corners_pushes_as_it_is_pushed(frequency: float) -> None:
    """Newton's third law: at its corners and seams the field has no end, on the other bar it is smooth."""
    back = Conductor(Part("back", bar(30 * MM, 6 * MM).placed((0, -8.6 * MM))), COPPER)
    piece = rail(outline([(x * MM, y * MM) for x, y in LEAN]), Material("steel", 6e6, permeability=200.0))
    found = solve(Problem((piece, back), (Circuit("feed", 1000.0, ("rail",), ("back",)),)), frequency, accuracy=1e-4)
    mine, other = found.fine.force
    left = math.hypot(*(mine + other))
    assert left < 3e-5 * math.hypot(*other)
    assert left < 0.2 * float(found.force_errors.sum())


def test_elements_do_not_shrink_to_nothing_at_a_seam() -> None:
    section = Section((rail(outline([(x * MM, y * MM) for x, y in LEAN]), COPPER).part,))
    mesh = mesh_section(section, [[2 * MM, 2 * MM]])
    assert mesh.areas().min() > 1e-3 * MM**2


def test_steel_rod_in_a_copper_sleeve() -> None:
    """Layered Bessel solution, REFERENCES section 7: steel (mu_r 100, 6 MS/m) d 8 mm + 0.5 mm copper, 50 Hz."""
    steel = Material("steel", 6e6, permeability=100.0)
    part = Part("rod", round_bar(8 * MM), pieces=(tube(9 * MM, 0.5 * MM),))
    rod = Conductor(part, steel, pieces=(Material("copper", 58e6),))
    found = solve(Problem((rod,), (Circuit("feed", 1.0, ("rod",)),)), 50.0, accuracy=1e-7)
    impedance = found.fine.fields.impedance[0, 0]
    assert impedance.real == pytest.approx(9.779076323e-4, rel=1e-8)
    mesh = found.fine.discretisation.mesh
    outside = 2e-7 * math.log(mesh.radius * math.e / (4.5 * MM))
    assert impedance.imag / (100 * math.pi) - outside == pytest.approx(322.3486183e-9, rel=1e-6)


@pytest.mark.parametrize("frequency", [0.0, 50.0, 10e3])
def test_pieces_of_one_metal_are_one_outline(frequency: float) -> None:
    corners = [(-20, -3), (20, -3), (20, 3), (13, 3), (13, 7), (-7, 7), (-7, 3), (-20, 3)]
    whole = outline([(x * MM, y * MM) for x, y in corners])
    one = solved(Conductor(Part("rail", whole), COPPER), frequency).circuits["feed"]
    two = solved(rail(ON_TOP, COPPER), frequency).circuits["feed"]
    assert one.resistance == pytest.approx(two.resistance, rel=2e-6)
    assert one.inductance == pytest.approx(two.inductance, rel=4e-6)


def test_direct_current_divides_by_conductance() -> None:
    found = solved(rail(ON_TOP, MATERIALS["tin"]), 0.0).conductors["rail"]
    copper, tin = 240e-6 * COPPER.conductivity, 80e-6 * MATERIALS["tin"].conductivity
    assert found.layers["tin"].current_share == pytest.approx(tin / (tin + copper), rel=1e-9)
    assert found.dc_resistance == pytest.approx(1 / (tin + copper), rel=1e-9)


def test_balance_symmetry_and_force() -> None:
    found = solved(rail(ON_TOP, MATERIALS["steel"]), 10e3, 1e-4)
    assert found.power_balance < 1e-10
    assert abs(found.impedance - found.impedance.T).max() < 1e-12 * abs(found.impedance).max()
    force = [sum(c.force[k] for c in found.conductors.values()) for k in (0, 1)]
    assert max(map(abs, force)) < 1e-3 * max(abs(c.force[1]) for c in found.conductors.values())


@pytest.mark.parametrize(
    ("part", "message"),
    [
        (Part("rail", bar(0.04, 0.006), pieces=(ON_TOP.placed((0, 1 * MM)),)), "does not touch the rest"),
        (Part("rail", bar(0.04, 0.006), pieces=(ON_TOP.placed((0, -1 * MM)),)), "overlap by 1 mm"),
        (Part("rail", bar(0.04, 0.006), pieces=(round_bar(0.01).placed((0, 8 * MM)),)), "along a stretch"),
        (Part("rail", bar(0.04, 0.006), (10e-6,), pieces=(ON_TOP,)), "has pieces and cannot be plated as well"),
    ],
)
def test_faults(part: Part, message: str) -> None:
    with pytest.raises(GeometryError, match=message):
        Section((part,))


def test_in_a_case_file(tmp_path: Path) -> None:
    path = tmp_path / "clad.toml"
    path.write_text(
        """
title = "Copper bar with a steel foot"
[frequency]
at = ["0 Hz"]
[[conductor]]
name = "bar"
shape = "bar"
width = "40 mm"
thickness = "6 mm"
turn = "90 deg"
centre = ["5 mm", "1 mm"]
material = "copper"
clad = [{ shape = "bar", width = "20 mm", thickness = "4 mm", offset = ["3 mm", "5 mm"], material = "steel" }]
[[circuit]]
name = "feed"
current = "100 A"
out = ["bar"]
""",
        encoding="utf-8",
    )
    result = solve_case(read_case(path))
    steel = MATERIALS["steel"].conductivity
    assert result.conductors["bar"].dc_resistance == pytest.approx(1 / (240e-6 * 58e6 + 80e-6 * steel), rel=1e-9)
    low, high = result.case.problem().section.bounds
    # turned by 90 degrees about the bar's own centre, the foot stands on its left
    assert (low.tolist(), high.tolist()) == (pytest.approx([-2 * MM, -19 * MM]), pytest.approx([8 * MM, 21 * MM]))
