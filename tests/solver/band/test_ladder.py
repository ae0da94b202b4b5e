"""Ladders: few cells, all positive, within their bound of a wire's Bessel functions and of the sweep they come from."""

from functools import cache

import numpy as np
import pytest
from common import SIGMA, TURN, alone, bar, conductor, pair, rod
from scipy.special import ive

from crosscurrent.geometries.plane import shapes
from crosscurrent.solver.band.ladder import Ladder, ladder
from crosscurrent.solver.band.sweep import Sweep, sweep
from crosscurrent.solver.field.problem import Circuit, Problem

MU0 = 4e-7 * np.pi
LOW, HIGH = 10.0, 1e7


def wire() -> Problem:
    """10 mm of copper, alone."""
    return alone(rod("wire", 0.01), circuit="feed")


def facing_bars() -> Problem:
    """Go and return, 100 x 6 mm at 1 mm."""
    shape = shapes.bar(0.1, 0.006, 0.0005)
    return pair(conductor("out", shape, (0, 0.0035)), conductor("back", shape, (0, -0.0035)))


def two_loops() -> Problem:
    """Two pairs of bars side by side, which link each other's flux the opposite way."""
    bars = [bar(f"b{k}", 0.006, 0.02, 0.01 * k) for k in range(4)]
    circuits = Circuit("one", 1.0, ("b0",), ("b1",)), Circuit("two", 1.0, ("b3",), ("b2",))
    return Problem(tuple(bars), circuits)


def three_phases() -> Problem:
    """Three bars, a third of a turn apart."""
    bars = tuple(bar(name, 0.006, 0.03, x) for name, x in zip("ABC", (-0.02, 0.0, 0.02), strict=True))
    return Problem(bars, tuple(Circuit(name, 100 * TURN**k, (name,)) for k, name in enumerate("ABC")))


@cache
def swept(section: object, high: float = HIGH, accuracy: float = 1e-3) -> Sweep:
    problem: Problem = section()  # type: ignore[operator]
    return sweep(problem, np.geomspace(LOW, high, 41), accuracy=accuracy)


def all_positive(found: Ladder) -> bool:
    foster = found.foster
    surface = np.linalg.eigvalsh(foster.surface_inductance).min() > 0
    return bool(surface and (foster.rates > 0).all() and (foster.conductance > 0).all())


@pytest.mark.parametrize("section", [wire, facing_bars])
@pytest.mark.parametrize(
    ("cells", "low", "high", "bound"), [(8, LOW, HIGH, 0.01), (6, 50.0, 100e3, 0.005), (11, LOW, HIGH, 0.001)]
)
def test_few_cells_do(section: object, cells: int, low: float, high: float, bound: float) -> None:
    model = swept(section).fine.model.foster
    found = ladder(model, low, high, bound=bound)
    assert found.cells <= cells
    assert found.error <= bound
    assert all_positive(found)
    frequency = 10 ** np.random.default_rng(3).uniform(np.log10(low), np.log10(high), 400)
    for own, exact in zip(
        (found.foster.resistance(frequency), found.foster.inductance(frequency)),
        (model.resistance(frequency), model.inductance(frequency)),
        strict=True,
    ):
        assert np.abs(own / exact - 1).max() <= 1.02 * found.error
    assert found.foster.resistance(0.0)[0, 0, 0] == pytest.approx(model.resistance(0.0)[0, 0, 0], rel=1e-14)


def test_a_wire_follows_bessel() -> None:
    found = ladder(swept(wire).fine.model.foster, LOW, HIGH)
    frequency = np.geomspace(LOW, HIGH, 200)
    p = np.sqrt(2j * np.pi * frequency * MU0 * SIGMA) * 0.005
    exact = (p / (2 * np.pi * 0.005**2 * SIGMA) * ive(0, p) / ive(1, p)).real  # Kelvin 1889
    assert np.abs(found.foster.resistance(frequency)[:, 0, 0] / exact - 1).max() < found.resistance_error + 1e-4


@pytest.mark.parametrize("section", [two_loops, three_phases])
def test_coupled_circuits_stay_passive_for_all_currents(section: object) -> None:
    model = swept(section, 1e5, 1e-2).fine.model.foster
    found = ladder(model, LOW, 1e5)
    assert found.error <= 0.01
    assert found.cells <= 6 * len(model.pattern.T)
    assert all_positive(found)
    frequency = np.geomspace(1e-2, 1e11, 200)
    for values in (found.foster.resistance(frequency), found.foster.inductance(frequency)):
        assert (np.linalg.eigvalsh(values)[:, 0] > 0).all()
    currents = np.random.default_rng(5).normal(size=(50, len(model.pattern.T)))
    inside = np.geomspace(LOW, 1e5, 50)
    for own, exact in ((found.foster.resistance(inside), model.resistance(inside)),
                       (found.foster.inductance(inside), model.inductance(inside))):  # fmt: skip
        power = [np.einsum("ci,mij,cj->cm", currents, m, currents) for m in (own, exact)]
        assert np.abs(power[0] / power[1] - 1).max() <= found.error * 1.001
