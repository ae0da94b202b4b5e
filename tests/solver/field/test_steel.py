"""Steel at its field strength: against steps in time of the exact curve, and the same end from anywhere."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache

import common
import numpy as np
import pytest
from scipy.integrate import quad
from scipy.linalg import solve_banded
from steel_curves import HERTZ, MU, RISING, SATURATION, SIGMA_STEEL, SMOOTH, steel

from crosscurrent.geometries.plane.shapes import channel
from crosscurrent.solver.field.discretisation import Discretisation
from crosscurrent.solver.field.following import follow
from crosscurrent.solver.field.probe import Probe
from crosscurrent.solver.field.problem import Circuit, Problem
from crosscurrent.solver.field.region_metals import region_metals, region_skins
from crosscurrent.solver.field.solution import DirectSolution
from crosscurrent.solver.field.solve import solve
from crosscurrent.solver.field.steel import initial, magnetised, settled, steel_mesh
from crosscurrent.solver.field.survey import Survey
from crosscurrent.solver.metals.depth import MU0
from crosscurrent.solver.metals.magnetisation import Magnetisation

RADIUS = 0.2
C = MU0 * (MU - 1)


def thick_rod(strength: float, curve: Magnetisation = SMOOTH) -> Problem:
    """Whose surface sees so much [A/m rms]: many skins thick, so that it is a half space but for its curvature."""
    current = strength * 2 * math.pi * RADIUS
    return common.alone(common.rod("rod", 2 * RADIUS, material=steel(curve)), current)


def trough(current: float, curve: Magnetisation) -> Problem:
    """A copper bar in a steel trough."""
    bar = common.bar("bar", 0.02, 0.06)
    around = common.conductor("trough", channel(0.1, 0.08, 0.008), material=steel(curve))
    return Problem((bar, around), (Circuit("feed", current, ("bar",)),))


@cache
def solved(strength: float) -> DirectSolution:
    return solve(thick_rod(strength), HERTZ)


def stepped(strength: float, points: int = 260, steps: int = 400, periods: int = 3) -> tuple[float, complex]:
    """Loss [W/m] and internal impedance of the fundamental [ohm/m] of the same rod, by steps in time.

    d(r H)/dr / r = sigma E, dE/dr = dB/dt with Froelich's B(H) itself: finite volumes in depth, backward differences of
    second order in time, Newton in every step; the current is a sine.
    """
    crest, omega, pace = math.sqrt(2) * strength, 2 * math.pi * HERTZ, 1 / HERTZ / steps

    def density(h: np.ndarray) -> np.ndarray:
        return MU0 * h + C * h / (1 + C * np.abs(h) / SATURATION)

    deep = 9 / math.sqrt(math.pi * HERTZ * float(density(np.array(crest))) / crest * SIGMA_STEEL)
    depth = np.sinh(4 * np.linspace(0, 1, points)) / math.sinh(4) * min(0.99 * RADIUS, deep)
    r, thick = RADIUS - depth, np.diff(depth)
    volume = 0.5 * (np.append(thick, 0.0) + np.insert(thick, 0, 0.0))
    link = 2 / (SIGMA_STEEL * (r[1:] + r[:-1]) * thick)  # E between two points over the fall of r H
    h, before = np.zeros(points), np.zeros(points)
    electric = np.zeros(steps * periods)
    for k in range(1, steps * periods + 1):
        old, h[0] = density(h), crest * math.sin(omega * k * pace)
        for _ in range(50):
            field = link * -np.diff(r * h)
            change = volume * (1.5 * density(h) - 2 * old + 0.5 * before) / pace
            wrong = change + np.append(field, 0.0) - np.insert(field, 0, 0.0)
            slope = MU0 + C / (1 + C * np.abs(h) / SATURATION) ** 2
            bands = np.zeros((3, points))
            bands[1] = 1.5 * volume * slope / pace + r * (np.append(link, 0.0) + np.insert(link, 0, 0.0))
            bands[0, 1:], bands[2, :-1] = -link * r[1:], -link * r[:-1]
            bands[1, 0], bands[0, 1], wrong[0] = 1.0, 0.0, 0.0
            step = solve_banded((1, 1), bands, -wrong)
            h = h + step
            if np.abs(step).max() < 1e-9 * crest:
                break
        change = volume[0] * (1.5 * density(h) - 2 * old + 0.5 * before)[0] / pace
        electric[k - 1] = link[0] * (r[0] * h[0] - r[1] * h[1]) + change
        before = old
    time = np.arange(steps * (periods - 1) + 1, steps * periods + 1) * pace
    current = crest * 2 * math.pi * RADIUS * np.sin(omega * time)
    last, turning = electric[-steps:], np.exp(-1j * omega * time)
    return float(np.mean(last * current)), complex(np.mean(last * turning) / np.mean(current * turning))


@pytest.mark.parametrize("strength", [1e3, 1e4, 1e5])
def test_loss_and_reactance_beside_steps_in_time_of_the_exact_curve(strength: float) -> None:
    """Within 6 and 20 %, and both inside the bars."""
    solution = solved(strength)
    (circuit,), flow = solution.problem.circuits, solution.fine
    loss, impedance = stepped(strength)
    omega, square = 2 * math.pi * HERTZ, abs(circuit.current) ** 2
    off = flow.powers[0].real / loss - 1
    assert abs(off) < 0.06
    assert abs(off) < solution.loss_errors[0]
    assert abs(flow.powers[0].real - loss) < solution.circuit_errors(circuit)[0] * flow.powers[0].real
    reactance = flow.powers[0].imag / square
    assert abs(reactance / impedance.imag - 1) < 0.2
    assert abs(reactance - impedance.imag) < solution.circuit_errors(circuit)[1] * flow.inductance(circuit) * omega
    linear = solution.steel.linear.powers[0].real if solution.steel else 0.0
    assert linear / loss > {1e3: 1.2, 1e4: 2.0, 1e5: 5.0}[strength]  # what a constant permeability would say


@pytest.mark.parametrize("strength", [1e3, 1e5])
def test_what_follows_the_hand_is_as_near_as_a_hundredth(strength: float) -> None:
    """A coarser mesh and a looser permeability: R and L beside those of the settled solve."""
    settled_flow, problem = solved(strength).fine, thick_rod(strength)
    quick, (circuit,) = follow(problem, HERTZ), problem.circuits
    assert len(quick.discretisation.mesh.triangles) < len(settled_flow.discretisation.mesh.triangles)
    assert quick.circuit(circuit).real == pytest.approx(settled_flow.circuit(circuit).real, rel=0.01)
    assert quick.inductance(circuit) == pytest.approx(settled_flow.inductance(circuit), rel=0.01)


@pytest.mark.parametrize("curve", [SMOOTH, RISING], ids=["smooth", "rising and falling"])
@pytest.mark.parametrize("problem", [lambda c: thick_rod(1e5, c), lambda c: trough(1e4, c)], ids=["rod", "trough"])
def test_the_same_end_from_three_starts(problem, curve: Magnetisation) -> None:
    given = problem(curve)
    metals, skins = region_metals(given, HERTZ), region_skins(given, HERTZ)
    d, ends = Discretisation(steel_mesh(given.section, skins, metals), metals, 3), []
    for permeability in (10.0, 300.0, 2000.0):
        found = settled(given, d, HERTZ, lifted=True, start=initial(d, permeability))
        assert found.discretisation.effective is not None
        assert found.discretisation.effective.solves <= 25
        ends.append(found.powers[-1])
    assert np.ptp(np.real(ends)) < 2e-3 * abs(np.real(ends[0]))
    assert np.ptp(np.imag(ends)) < 2e-3 * abs(np.imag(ends[0]))


def test_a_trough_keeps_its_balance_and_its_bars() -> None:
    """Loss from the densities and from the terminals; a finer solve within what orders leave open."""
    solution = solve(trough(1e4, SMOOTH), HERTZ, accuracy=1e-2)
    (circuit,), flow = solution.problem.circuits, solution.fine
    assert (flow.circuit(circuit) * circuit.current).real == pytest.approx(flow.powers.real.sum(), rel=1e-10)
    finer = solve(trough(1e4, SMOOTH), HERTZ, accuracy=3e-4)
    assert finer.bound < 3e-4 < solution.bound
    assert np.all(np.abs(finer.fine.powers.real / flow.powers.real - 1) < 2e-3)
    assert np.all(np.abs(finer.fine.powers.real - flow.powers.real) < solution.power_errors)
    state = magnetised(flow, 1)
    assert state is not None
    assert state.permeability[0] < state.permeability[1] < state.permeability[2] <= MU
    assert magnetised(flow, 0) is None


def test_readings_of_the_field_hold_the_band() -> None:
    """Outside a rod alone B is mu0 I / (2 pi r) whatever its steel does; inside it is as uncertain as the steel."""
    solution = solved(1e4)
    outside, inside = Survey(solution).readings(np.array([[2 * RADIUS, 0.0], [RADIUS - 2e-3, 0.0]]))
    assert abs(outside.strength - MU0 * 1e4 / 2) < outside.error < 1e-3 * outside.strength
    assert solution.steel is not None
    assert solution.steel.other is not None
    other = float(Probe(solution.steel.other).strength(np.array([[RADIUS - 2e-3, 0.0]]))[0])
    assert inside.error > abs(other - inside.strength) > 1e-2 * inside.strength


def test_hardly_any_current_meets_the_initial_permeability() -> None:
    weak = trough(1e-6, SMOOTH)
    linear = replace(steel(SMOOTH), magnetisation=None)
    plain = replace(weak, conductors=(weak.conductors[0], replace(weak.conductors[1], material=linear)))
    found, known = solve(weak, HERTZ, accuracy=1e-2), solve(plain, HERTZ, accuracy=1e-2)
    assert np.all(np.abs(found.fine.powers.real - known.fine.powers.real) < found.power_errors + known.power_errors)
    assert found.steel is not None
    assert found.steel.linear.powers.real == pytest.approx(found.fine.powers.real, rel=1e-6)


def test_at_rest_the_curve_itself() -> None:
    """H = I r / (2 pi a^2); L I^2 = integral B H, a rod within its own circle, by the general library."""
    current, radius = 2e3, 0.01
    solution = solve(common.alone(common.rod("rod", 2 * radius, material=steel(SMOOTH)), current), 0.0)
    inductances = []
    for flow in (solution.fine, solution.steel.linear if solution.steel else solution.fine):
        inductances.append(flow.inductance(solution.problem.circuits[0]))

    def held(r: float) -> float:
        h = current * r / (2 * math.pi * radius**2)
        return 2 * math.pi * r * h * (MU0 * h + C * h / (1 + C * h / SATURATION))

    within = quad(held, 0, radius, epsabs=0.0)[0] / current**2
    assert inductances[1] - inductances[0] == pytest.approx(MU0 * MU / (8 * math.pi) - within, rel=1e-3)
    assert solution.steel is not None
    assert solution.steel.other is None


def test_above_the_curie_temperature_it_is_air() -> None:
    hot = trough(1e3, SMOOTH)
    red = tuple(replace(c, temperature=800.0) for c in hot.conductors)
    plain = replace(steel(SMOOTH), magnetisation=None, permeability=1.0)
    found = solve(replace(hot, conductors=red), HERTZ)
    known = solve(replace(hot, conductors=(red[0], replace(red[1], material=plain))), HERTZ)
    assert found.steel is None
    assert found.fine.powers.tolist() == known.fine.powers.tolist()
