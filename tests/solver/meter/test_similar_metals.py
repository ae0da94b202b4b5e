"""Metals that conduct better or worse alike, against the exact coaxial line."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from meter_benches import COPPER, SETS, coaxial, known

from crosscurrent.solver.meter.causes import Parameter
from crosscurrent.solver.meter.similar_metals import common_factor
from crosscurrent.solver.meter.swept_causes import TEMPERATURE

COAX, ALPHA = 2, 0.00393  # IEC 60028
LENGTH = SETS[COAX][2]


@pytest.fixture(scope="module")
def bench():
    _, _, found = known(COAX)
    return found, {c.key: c for c in found.causes}, slice(5, -5)


@pytest.mark.parametrize("times", [0.3, 0.85, 1.15])
def test_however_much_less_it_conducts(bench, times) -> None:
    found, causes, inner = bench
    z = causes["copper.conductivity"].effect(found.impedance, np.array([np.log(times)]))
    exact = coaxial(found.frequencies, 0.005, 0.012, 0.001, times * COPPER, LENGTH)
    assert z.real[inner] == pytest.approx(exact.real[inner], rel=1e-4)
    assert z.imag[inner] == pytest.approx(exact.imag[inner], rel=1e-5)


def test_warm_metals(bench) -> None:
    found, causes, inner = bench
    (warm,) = causes["copper.conductivity"].alike
    assert warm.key == TEMPERATURE
    exact = coaxial(found.frequencies, 0.005, 0.012, 0.001, COPPER / (1 + 40 * ALPHA), LENGTH)
    z = warm.effect(found.impedance, np.array([40.0]))
    assert z.real[inner] == pytest.approx(exact.real[inner], rel=1e-4)


def test_what_else_is_other_goes_along(bench) -> None:
    """A thinner rod of poorer metal: no product of what each does by itself."""
    found, causes, inner = bench
    thinner = coaxial(found.frequencies, 0.0044, 0.012, 0.001, COPPER, LENGTH)
    stated = coaxial(found.frequencies, 0.005, 0.012, 0.001, COPPER, LENGTH)
    less = (found.impedance.real * thinner.real / stated.real
            + 1j * found.impedance.imag * thinner.imag / stated.imag)  # fmt: skip
    z = causes["copper.conductivity"].effect(less, np.array([np.log(0.8)]))
    exact = coaxial(found.frequencies, 0.0044, 0.012, 0.001, 0.8 * COPPER, LENGTH)
    assert z.real[inner] == pytest.approx(exact.real[inner], rel=2e-4)
    assert z.imag[inner] == pytest.approx(exact.imag[inner], rel=2e-5)


def test_only_where_all_metals_go_together() -> None:
    one = Parameter("conductivity of brass", "S/m", 0.15, -3.0, 0.2, (0.0,), nominal=1.6e7, logarithmic=True)
    _, run, _ = known(COAX)
    rod, *others = run.problem.conductors
    poorer = replace(rod.material, conductivity=0.5 * rod.material.conductivity)
    some = replace(run.problem, conductors=(replace(rod, material=poorer), *others))
    assert common_factor(run.problem, one, lambda amount: some) is None
    assert common_factor(run.problem, one, lambda amount: None) is None
