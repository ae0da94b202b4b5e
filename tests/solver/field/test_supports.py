"""Forces at a fault and what they ask of supports, against two thin wires by hand."""

from __future__ import annotations

import math

import pytest

from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.shapes import round_bar
from crosscurrent.solver.field.beams import MODULUS, natural_frequencies
from crosscurrent.solver.field.problem import Circuit, Conductor, Problem
from crosscurrent.solver.field.solution import Solution
from crosscurrent.solver.field.solve import solve
from crosscurrent.solver.field.supports import SupportLoad, fault_peak, quiet_span, shaken, stress_at, support_loads
from crosscurrent.solver.metals.materials import MATERIALS

COPPER = MATERIALS["copper"]


@pytest.fixture(scope="module")
def wires() -> Solution:
    """4 mm thick, 0.1 m apart, 1 kA out and back at 50 Hz; a third one far away in no circuit."""
    places = (("a", 0.0), ("b", 0.1), ("idle", 2.0))
    conductors = tuple(Conductor(Part(n, round_bar(0.004).placed((x, 0.0))), COPPER) for n, x in places)
    return solve(Problem(conductors, (Circuit("feed", 1000.0, ("a",), ("b",)),)), 50.0)


def loads(solution: Solution, **more: float) -> list[SupportLoad]:
    asked = {"ratio": None, "stress": None, "spacing": None} | more
    return support_loads(solution, **asked, fixing="simple")  # type: ignore[arg-type]


def test_forces_and_spacing_of_two_wires(wires: Solution) -> None:
    """mu0 I^2 / (2 pi D) = 2 N/m in the mean, twice that at the peak; W = pi d^3 / 32, l = sqrt(8 W s / f)."""
    one, other = loads(wires, ratio=10.0, stress=80e6)
    assert (one.name, other.name, one.live) == ("a", "b", True)  # the idle wire bears no force to speak of
    assert one.push.peak == pytest.approx(4.0, rel=1e-3)
    assert one.worst == one.fault == pytest.approx(400.0, rel=1e-3)
    modulus = math.pi * 0.004**3 / 32
    assert one.spacing == pytest.approx(math.sqrt(8 * modulus * 80e6 / 400), rel=1e-3)
    assert one.span == one.spacing
    stiffness, mass = MODULUS["copper"] * math.pi * 0.004**4 / 64, (COPPER.density or 0.0) * math.pi * 0.002**2
    assert one.resonance == pytest.approx(natural_frequencies(one.span or 0.0, stiffness, mass, "simple"), rel=1e-3)


def test_a_stated_spacing_is_the_span_and_without_one_nothing_swings(wires: Solution) -> None:
    assert loads(wires, spacing=0.7)[0].span == 0.7
    plain = loads(wires)[0]
    assert (plain.fault, plain.spacing, plain.span, plain.resonance) == (None, None, None, None)
    assert plain.worst == plain.push.peak


def test_the_fault_of_a_direct_current_peaks_twice_as_high_beside_its_steady_force() -> None:
    assert fault_peak(2.0, 3.0, steady=True) == 36
    assert fault_peak(2.0, 3.0, steady=False) == 18


def test_stress_span_and_resonance() -> None:
    assert stress_at(1.0, 0.5, 80e6) == 320e6
    assert quiet_span(0.8, 65.0, (50.0, 100.0)) == pytest.approx(0.8 / math.sqrt(2))
    assert shaken((131.0, 131.0), (100.0,)) == []
    assert shaken((129.0, 129.0), (100.0,)) == [100.0]
    assert shaken((50.0, 69.0), (100.0,)) == []
