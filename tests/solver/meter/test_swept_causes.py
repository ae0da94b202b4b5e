"""What a case says of a run and what may be wrong with it: exact coaxial lines, rough surfaces solved for."""

from __future__ import annotations

import os
from dataclasses import replace

import numpy as np
import pytest
from meter_benches import COPPER, SETS, coaxial, known

from crosscurrent.solver.field.solve import solve
from crosscurrent.solver.meter.swept_causes import TEMPERATURE

RODS, COAX, SILVERED = 1, 2, 3
MANY = bool(os.environ.get("CROSSCURRENT_EXAMPLES"))


def test_the_exact_line_within_its_bars():
    _, _, found = known(COAX)
    exact = coaxial(found.frequencies, 0.005, 0.012, 0.001, COPPER, SETS[COAX][2])
    assert (np.abs(found.impedance.real - exact.real) <= found.resistance_bar).all()
    assert (np.abs(found.impedance.imag - exact.imag) <= found.reactance_bar).all()


@pytest.mark.parametrize(("key", "size"), [("rod", "rod"), ("bore", "bore"), ("copper.conductivity", "sigma")])
def test_slopes_are_those_of_the_exact_line(key, size):
    """A thousandth more of each figure: slopes over a sweep are good to 3e-3 of the largest, which is 2."""
    _, _, found = known(COAX)
    cause = next(c for c in found.causes if c.key == key)
    sizes = {"rod": 0.005, "bore": 0.012, "wall": 0.001, "sigma": COPPER}
    moved = coaxial(found.frequencies, length=SETS[COAX][2], **(sizes | {size: 1.001 * sizes[size]}))
    before = coaxial(found.frequencies, length=SETS[COAX][2], **sizes)
    z = cause.effect(found.impedance, np.array([np.log(1.001)]))
    assert z.real / found.impedance.real == pytest.approx(moved.real / before.real, abs=6e-6)
    assert z.imag / found.impedance.imag == pytest.approx(moved.imag / before.imag, abs=6e-6)


def test_temperature_is_the_conductivity_of_the_only_metal():
    _, _, found = known(COAX)
    cause = next(c for c in found.causes if c.key == "copper.conductivity")
    assert [c.key for c in cause.alike] == [TEMPERATURE]
    assert found.warming is not None


def test_roughness_by_difference_is_what_a_rough_section_has():
    _, run, found = known(RODS)
    cause = next(c for c in found.causes if c.key == "roughness")
    rq = 1e-5
    problem = replace(run.problem, conductors=tuple(replace(c, roughness=rq) for c in run.problem.conductors))
    for row in (len(found.frequencies) // 2, len(found.frequencies) - 6):
        solution = solve(problem, float(found.frequencies[row]))
        smooth = solve(run.problem, float(found.frequencies[row]))
        z, bare = (run.length * s.fine.circuit(s.problem.circuits[0]) / run.circuit.current for s in (solution, smooth))
        added = cause.effect(found.impedance, np.array([rq]))[row] - found.impedance[row]
        assert added.real == pytest.approx((z - bare).real, rel=0.03)
        assert added.imag == pytest.approx((z - bare).imag, rel=0.05)


@pytest.mark.skipif(not MANY, reason="rough surfaces and a sweep of silvered bars: half a minute")
def test_roughness_on_a_coat_of_another_thickness_is_that_of_the_coat_there():
    """Beside the stated coat it is a tenth off; beside the one that is there it is what a rough section has."""
    _, run, found = known(SILVERED)
    cause, there, rq = next(c for c in found.causes if c.key == "roughness"), {"silver-coat": 8e-6}, 1.2e-5
    row = int(np.abs(found.frequencies - 4e5).argmin())
    smooth, f = run.varied(there), float(found.frequencies[row])
    rough = replace(smooth, conductors=tuple(replace(c, roughness=rq) for c in smooth.conductors))
    z, bare = (run.length * solve(p, f).fine.circuit(p.circuits[0]) / run.circuit.current for p in (rough, smooth))
    exact = found.solved(there)
    beside = cause.beside(there)
    assert beside.known == {"silver-coat"}
    added, stated = ((one.effect(exact, np.array([rq])) - exact)[row].real for one in (beside, cause))
    assert added == pytest.approx((z - bare).real, rel=0.02)
    assert abs(stated / (z - bare).real - 1) > 0.05


def test_other_figures_are_solved_for_once():
    _, _, found = known(COAX)
    again = found.solved({"rod": 0.006})
    exact = coaxial(found.frequencies, 0.006, 0.012, 0.001, COPPER, SETS[COAX][2])
    assert again.real == pytest.approx(exact.real, rel=1e-3)
    assert found.solved({"rod": 0.006}) is again
    assert found.solved({"rod": 0.5}) is None
