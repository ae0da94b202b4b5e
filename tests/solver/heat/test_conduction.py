"""Conduction of heat against closed solutions: H. S. Carslaw and J. C. Jaeger, Conduction of Heat in Solids, 1959,
chapters III and VII (rod, tube, slab and composite cylinder with even heat; from memory, each derived again here).
"""

import numpy as np
import pytest
from fixed_film import AIR, at, balanced, solved

from crosscurrent.geometries.plane.shapes import bar, round_bar, tube
from crosscurrent.solver.metals.materials import MATERIALS, Material

# conducts heat so badly that the inside is far hotter than the surface
POOR = Material("poor", 1e6, thermal_conductivity=0.8)
OTHER = Material("other", 4e6, thermal_conductivity=0.3)


def everywhere(x, y):
    return x == x


def heat_density(solution, sigma):
    return sigma * abs(complex(solution.fine.voltages[0])) ** 2


def test_rod():
    radius, h = 0.01, 60.0
    solution = solved(round_bar(2 * radius), [POOR], current=100.0)
    q = heat_density(solution, 1e6)
    found, place = at(balanced(solution, lambda n: np.full(len(n), h)), everywhere)
    r = np.hypot(*place.T)
    exact = AIR + q * radius / (2 * h) + q * (radius**2 - r**2) / (4 * POOR.conduction)
    assert exact.max() - exact.min() > 0.25 * (exact.max() - AIR)
    assert found - AIR == pytest.approx(exact - AIR, rel=1e-6)


def test_tube_closed_inside():
    inner, outer, h = 0.006, 0.010, 40.0
    solution = solved(tube(2 * outer, outer - inner), [POOR], current=100.0)
    q, k = heat_density(solution, 1e6), POOR.conduction
    found, place = at(balanced(solution, lambda n: np.full(len(n), h)), everywhere)
    r = np.hypot(*place.T)
    surface = AIR + q * (outer**2 - inner**2) / (2 * outer * h)
    exact = surface + q * (outer**2 - r**2) / (4 * k) + q * inner**2 / (2 * k) * np.log(r / outer)
    assert found - AIR == pytest.approx(exact - AIR, rel=1e-6)


def test_slab_cooled_on_both_sides_differently():
    width, half, above, below = 0.03, 0.004, 30.0, 90.0
    solution = solved(bar(width, 2 * half), [POOR], current=100.0)
    q, k = heat_density(solution, 1e6), POOR.conduction
    balance = balanced(solution, lambda n: np.where(n[:, 1] > 0.9, above, np.where(n[:, 1] < -0.9, below, 0.0)))
    found, place = at(balance, everywhere)
    # -k T'' = q, -k T' = above (T - air) at the top, k T' = below (T - air) at the bottom
    system = np.array([[above * half + k, above], [-below * half - k, below]])
    slope, level = np.linalg.solve(system, q * half + q * half**2 / (2 * k) * np.array([above, below]))
    exact = AIR + level + slope * place[:, 1] - q * place[:, 1] ** 2 / (2 * k)
    assert found - AIR == pytest.approx(exact - AIR, rel=1e-6)


def test_two_layers():
    radius, coat, h = 0.006, 0.003, 50.0
    solution = solved(round_bar(2 * radius), [POOR, OTHER], coats=(coat,), current=100.0)
    q1, q2 = heat_density(solution, 1e6), heat_density(solution, 4e6)
    outer, k1, k2 = radius + coat, POOR.conduction, OTHER.conduction
    found, place = at(balanced(solution, lambda n: np.full(len(n), h)), everywhere)
    r = np.hypot(*place.T)
    surface = AIR + (q1 * radius**2 + q2 * (outer**2 - radius**2)) / (2 * outer * h)

    def in_coat(r):
        return surface + q2 * (outer**2 - r**2) / (4 * k2) + (q1 - q2) * radius**2 / (2 * k2) * np.log(outer / r)

    exact = np.where(r > radius, in_coat(np.maximum(r, radius)), in_coat(radius) + q1 * (radius**2 - r**2) / (4 * k1))
    assert found - AIR == pytest.approx(exact - AIR, rel=1e-6)


def test_hottest_point_of_a_rod_is_its_axis():
    solution = solved(round_bar(0.02), [POOR], current=100.0)
    balance = balanced(solution, lambda n: np.full(len(n), 60.0))
    assert balance.hottest[1][0] == pytest.approx([0, 0], abs=5e-4)
    assert balance.hottest[0][0] > balance.mean[0] > balance.surface[0]


@pytest.mark.parametrize("frequency", [0.0, 50.0, 85e3])
def test_all_heat_made_leaves(frequency):
    """Plated, and at 85 kHz with a core that the field solve leaves out."""
    metals = [MATERIALS["copper"], MATERIALS["nickel"], MATERIALS["silver"]]
    solution = solved(bar(0.04, 0.01), metals, coats=(2e-6, 20e-6), frequency=frequency, current=100.0)
    balance = balanced(solution, lambda n: np.full(len(n), 8.0))
    loss = float(solution.fine.powers.real.sum())
    assert balance.sources.load.sum() == pytest.approx(loss, rel=1e-12)
    assert balance.losses.total.sum() == pytest.approx(float(balance.power.sum()), rel=1e-9)
    copper = MATERIALS["copper"]
    grown = copper.conductivity_at(20.0) / copper.conductivity_at(float(balance.mean[0]))
    assert balance.power[0] == pytest.approx(loss * grown, rel=1e-9)


def test_a_thin_skin_heats_the_rod_from_its_surface():
    """Heat that enters at the surface leaves there: the inside is no warmer, while even heat makes it so."""
    inside = {}
    for frequency in (0.0, 100e3):
        solution = solved(round_bar(0.025), [MATERIALS["copper"]], frequency=frequency, current=300.0)
        balance = balanced(solution, lambda n: np.full(len(n), 8.0))
        axis, _ = at(balance, lambda x, y: np.hypot(x, y) < 2e-3)
        inside[frequency] = (axis.mean() - balance.surface[0]) / (balance.surface[0] - AIR)
    radius, h, k = 0.0125, 8.0, MATERIALS["copper"].conduction
    assert inside[0.0] == pytest.approx(h * radius / (2 * k), rel=2e-2)  # q R^2 / 4 k over q R / 2 h
    assert abs(inside[100e3]) < 0.05 * inside[0.0]
