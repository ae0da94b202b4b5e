"""Metals that conduct better or worse alike, against the exact coaxial line."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from meter_benches import COPPER, SETS, coaxial, known

from crosscurrent.solver.meter.causes import Parameter
from crosscurrent.solver.meter.fit import Differing, fitted
from crosscurrent.solver.meter.section_causes import RoughSurface, rough_cause
from crosscurrent.solver.meter.similar_metals import KnownBand, common_factor, similar_cause
from crosscurrent.solver.meter.swept_causes import TEMPERATURE
from crosscurrent.solver.meter.uncertainty import Uncertainty

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


def test_rough_surfaces_of_another_metal_are_exact() -> None:
    """A thick wire with Z = (1 + j) sqrt(f / s) (1 + g / (1 + g)), g the square of the roughness over the skin.

    With s times the conductivity it is Z(s f) / s: roughness acts before what all metals do alike.
    """
    f = np.geomspace(1e3, 1e6, 121)

    def wire(at, conductivity, rough):
        g = rough**2 * at * conductivity
        return (1 + 1j) * np.sqrt(at / conductivity) * (1 + g / (1 + g))

    def factor(rough):
        return wire(f, 1.0, rough) / wire(f, 1.0, 0.0)

    z = wire(f, 1.0, 0.0)
    one = Parameter("conductivity", "S/m", 0.1, -1.0, 1.0, (0.0,), nominal=5e7, logarithmic=True)
    metal = similar_cause("sigma", "conductivity", one, lambda p: float(np.exp(p)), KnownBand(f, z), (f, z))
    rough = rough_cause((RoughSurface(z, factor),), z, 0.0, 1e-3, 1.0)
    inside = (f > 1.5e3) & (f < 0.7e6)
    count = int(inside.sum())
    known_well = Uncertainty(np.zeros((2 * count, 2 * count)), np.full(2 * count, 1e-3), np.eye(count))
    found = fitted(Differing(f, z, wire(f[inside], 0.8, 2e-3), inside, known_well), [rough, metal])
    amounts = {cause.key: found.values[found.of(cause)][0] for cause in (rough, metal)}
    assert amounts["roughness"] == pytest.approx(2e-3, rel=1e-4)
    assert amounts["sigma"] == pytest.approx(np.log(0.8), rel=1e-4)
