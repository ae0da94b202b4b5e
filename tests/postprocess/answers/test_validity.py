"""The watch on where the picture stops being true: each warning appears when it should, and only then."""

from __future__ import annotations

import math

import numpy as np
import pytest

from crosscurrent.geometries.meshing.corners import graded, sharp_corners
from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.shapes import bar, round_bar
from crosscurrent.postprocess.answers import validity
from crosscurrent.postprocess.answers.validity import ValidityWatch
from crosscurrent.solver.field.electrostatic import VACUUM
from crosscurrent.solver.field.problem import Circuit, Conductor, Problem
from crosscurrent.solver.field.solve import solve
from crosscurrent.solver.metals.magnetisation import Magnetisation
from crosscurrent.solver.metals.materials import MATERIALS, Material

COPPER, STEEL, SILVER = MATERIALS["copper"], MATERIALS["steel"], MATERIALS["silver"]
MM = 1e-3


def rod(**more: object) -> Conductor:
    return Conductor(Part("rod", round_bar(10 * MM)), COPPER, **more)  # type: ignore[arg-type]


def warned(conductor: Conductor, frequency: float, *, current: float = 1.0, length: float | None = None) -> str:
    circuit = Circuit("feed", current, (conductor.name,))
    return said(ValidityWatch(length), Problem((conductor,), (circuit,)), frequency)


def said(watch: ValidityWatch, problem: Problem, frequency: float) -> str:
    return " | ".join(warning.text for warning in watch.warnings(solve(problem, frequency)))


def facing(gap: float, frequency: float) -> str:
    pair = [
        Conductor(Part(n, bar(100 * MM, 2 * MM).placed((0, y))), COPPER)
        for n, y in (("out", 0.0), ("back", 2 * MM + gap))
    ]
    return said(ValidityWatch(), Problem(tuple(pair), (Circuit("feed", 1.0, ("out",), ("back",)),)), frequency)


def test_quiet_where_all_is_well() -> None:
    assert warned(rod(), 1e3, length=2.0) == ""


@pytest.mark.parametrize(("frequency", "said"), [(1e9, False), (2e9, True)])
def test_section_against_wavelength(frequency: float, said: bool) -> None:
    """A twentieth of the wavelength is 15 mm at 1 GHz; the box around the rod has a diagonal of 14.1 mm."""
    assert ("more than a twentieth of the wavelength" in warned(rod(), frequency)) is said


@pytest.mark.parametrize(("length", "said"), [(10.0, False), (20.0, True)])
def test_run_against_wavelength(length: float, said: bool) -> None:
    """15 m at 1 MHz."""
    assert ("the run is" in warned(rod(), 1e6, length=length)) is said


@pytest.mark.parametrize(("length", "said"), [(0.02, True), (0.2, False)])
def test_short_run(length: float, said: bool) -> None:
    assert ("is short against the section" in warned(rod(), 1e3, length=length)) is said


@pytest.mark.parametrize(("frequency", "said"), [(8e9, False), (13e9, True)])
def test_free_path_of_electrons(frequency: float, said: bool) -> None:
    """Copper at room temperature: anomalous above about 10 GHz."""
    assert ("free path" in warned(rod(), frequency)) is said


@pytest.mark.parametrize(("thickness", "said"), [(0.3e-6, True), (5e-6, False)])
def test_thin_plating(thickness: float, said: bool) -> None:
    plated = Conductor(Part("rod", round_bar(10 * MM), (thickness,)), COPPER, coats=(SILVER,))
    assert ("conduct worse than the bulk" in warned(plated, 1e6)) is said


@pytest.mark.parametrize(("roughness", "said"), [(2e-6, True), (0.2e-6, False)])
def test_roughness_above_the_coat(roughness: float, said: bool) -> None:
    plated = Conductor(Part("rod", round_bar(10 * MM), (5e-6,)), COPPER, coats=(SILVER,), roughness=roughness)
    assert ("more than a tenth of the metal it is on" in warned(plated, 1e6)) is said


@pytest.mark.parametrize(("current", "said"), [(1.0, False), (100.0, True)])
def test_saturation(current: float, said: bool) -> None:
    """H = I / (2 pi a): 100 A rms on a 10 mm rod is 4.5 kA/m peak."""
    steel = Conductor(Part("rod", round_bar(10 * MM)), STEEL)
    assert ("saturate" in warned(steel, 50.0, current=current)) is said


def test_a_sharp_corner_alone_does_not_saturate_whatever_the_mesh() -> None:
    """Steel tape on edge beside a wire: H has no end at its corners, more so on a mesh halved there often."""
    tape = Conductor(Part("tape", bar(2 * MM, 20 * MM)), STEEL)
    wire = Conductor(Part("wire", round_bar(4 * MM).placed((20 * MM, 0.0))), COPPER)
    problem = Problem((tape, wire), (Circuit("feed", 200.0, ("wire",)),))
    first = solve(problem, 50.0)
    mesh = first.fine.discretisation.mesh
    corners = sharp_corners(mesh, mesh.region)
    finer = solve(problem, 50.0, start=graded(mesh, corners, np.full(len(corners), 20)))
    for one in (first, finer):
        assert not [w for w in ValidityWatch().warnings(one) if w.kind == "saturation"]


def test_gap_capacitance() -> None:
    """w sqrt(L C) of facing plates is w / c whatever the gap: 0.3 per metre at 14 MHz."""
    assert "capacitance" not in facing(0.2 * MM, 1e6)
    assert "capacitance" in facing(0.2 * MM, 50e6)


@pytest.mark.parametrize(("temperature", "said"), [(90.0, False), (1200.0, True), (-200.0, True)])
def test_temperature_of_the_linear_law(temperature: float, said: bool) -> None:
    assert ("linear in temperature" in warned(rod(temperature=temperature), 1e3)) is said


@pytest.mark.parametrize(
    ("metal", "linear", "loses"),
    [
        (COPPER, True, False),  # was never magnetic
        (STEEL, True, True),
        (Material("own", 1e6), False, False),  # its conductivity when hot, by the case
        (Material("own", 1e6, permeability=50.0, magnetisation=Magnetisation.froelich(50.0, 1.8)), False, False),
    ],
)
def test_red_hot_metals_are_doubted_for_what_they_have(metal: Material, linear: bool, loses: bool) -> None:
    """The last one counts as air at 900 degC already, beyond the Curie temperature of iron."""
    found = warned(Conductor(Part("rod", round_bar(10 * MM)), metal, temperature=900.0), 50.0)
    assert ("linear in temperature" in found, "lose their permeability" in found) == (linear, loses)


def test_a_capacitance_is_solved_for_once_in_a_run(monkeypatch: pytest.MonkeyPatch) -> None:
    wires = [Conductor(Part(n, round_bar(2 * MM).placed((x * MM, 0.0))), COPPER) for n, x in (("a", 0.0), ("b", 3.0))]
    problem = Problem(tuple(wires), (Circuit("feed", 1.0, ("a",), ("b",)),))
    solution, watch = solve(problem, 50e6, accuracy=0.05), ValidityWatch()
    (first,) = [w for w in watch.warnings(solution) if w.kind == "capacitance"]
    # two wires, 3 mm from axis to axis, 2 mm thick: pi eps0 / acosh(3 / 2)
    assert watch.capacitances["feed"] == pytest.approx(math.pi * VACUUM / math.acosh(1.5), rel=1e-3)
    monkeypatch.setattr(validity, "section_capacitance", None)  # cannot be called again
    (again,) = [w for w in watch.warnings(solution) if w.kind == "capacitance"]
    assert first == again
    assert first.about == "feed"


def test_a_warning_says_which_conductor_it_is_about() -> None:
    cold = [
        Conductor(Part(name, round_bar(2 * MM).placed((x * MM, 0.0))), COPPER, temperature=-150.0)
        for name, x in (("strap.1", 0.0), ("strap.2", 5.0), ("feed", 10.0))
    ]
    problem = Problem(tuple(cold), (Circuit("feed", 1.0, ("strap.1", "strap.2"), ("feed",)),))
    found = ValidityWatch().warnings(solve(problem, 50.0, accuracy=0.05))
    assert [(w.kind, w.about) for w in found] == [("heat", "strap.1"), ("heat", "strap.2"), ("heat", "feed")]


@pytest.mark.parametrize(("limit", "said"), [(0.003, True), (0.01, False)])
def test_ferrite_beyond_its_limit(limit: float, said: bool) -> None:
    """Inside a rod of permeability mu beside a wire B is twice the wire's own: crests of 3.3 to 8.1 mT."""
    ferrite = Material("ferrite", 0.0, permeability=2000.0, permeability_loss=40.0, saturation=limit)
    rod_of_it = Conductor(Part("core", round_bar(10 * MM)), ferrite)
    wire = Conductor(Part("wire", round_bar(2 * MM).placed((12 * MM, 0.0))), COPPER)
    found = solve(Problem((rod_of_it, wire), (Circuit("feed", 100.0, ("wire",)),)), 1e4)
    warnings = [w.text for w in ValidityWatch().warnings(found) if w.kind == "saturation"]
    assert bool(warnings) is said
    assert all("the limit is" in text for text in warnings)
