"""The watch on where the picture stops being true: each warning appears when it should, and only then."""

from __future__ import annotations

import pytest

from crosscurrent.geometries.section import Part
from crosscurrent.geometries.shapes import bar, round_bar
from crosscurrent.postprocess.validity import validity_warnings
from crosscurrent.solver.materials import MATERIALS
from crosscurrent.solver.problem import Circuit, Conductor, Problem
from crosscurrent.solver.solve import solve

COPPER, STEEL, SILVER = MATERIALS["copper"], MATERIALS["steel"], MATERIALS["silver"]
MM = 1e-3


def rod(**more: object) -> Conductor:
    return Conductor(Part("rod", round_bar(10 * MM)), COPPER, **more)  # type: ignore[arg-type]


def warned(conductor: Conductor, frequency: float, *, current: float = 1.0, length: float | None = None) -> str:
    circuit = Circuit("feed", current, (conductor.name,))
    return " | ".join(validity_warnings(solve(Problem((conductor,), (circuit,)), frequency), length))


def facing(gap: float, frequency: float) -> str:
    pair = [
        Conductor(Part(n, bar(100 * MM, 2 * MM).placed((0, y))), COPPER)
        for n, y in (("out", 0.0), ("back", 2 * MM + gap))
    ]
    return " | ".join(
        validity_warnings(solve(Problem(tuple(pair), (Circuit("feed", 1.0, ("out",), ("back",)),)), frequency))
    )


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


def test_gap_capacitance() -> None:
    """w sqrt(L C) of facing plates is w / c whatever the gap: 0.3 per metre at 14 MHz."""
    assert "capacitance" not in facing(0.2 * MM, 1e6)
    assert "capacitance" in facing(0.2 * MM, 50e6)


@pytest.mark.parametrize(("temperature", "said"), [(90.0, False), (1200.0, True), (-200.0, True)])
def test_temperature_of_the_linear_law(temperature: float, said: bool) -> None:
    assert ("linear in temperature" in warned(rod(temperature=temperature), 1e3)) is said
