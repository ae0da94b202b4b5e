"""Pieces that do not conduct and whose permeability has a loss, against harmonics in closed form."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from axial_rows import balance, fed, filament, frequency_for, on_axis, solid
from numpy.polynomial.legendre import Legendre

from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.shapes import round_bar
from crosscurrent.solver.field.changes import Change
from crosscurrent.solver.field.loss_density import loss_density
from crosscurrent.solver.field.problem import Circuit, Conductor, Problem
from crosscurrent.solver.field.saturation import strong_induction
from crosscurrent.solver.field.slopes import slopes
from crosscurrent.solver.field.solve import solve
from crosscurrent.solver.metals.depth import MU0
from crosscurrent.solver.metals.materials import Material

MU = 200 - 10j
FERRITE = Material("ferrite", 0.0, permeability=MU.real, permeability_loss=-MU.imag)
BALL, FREQUENCY = 0.025, 1e4


def ball_in_a_turn() -> float:
    """Loss for 1 A round it, 35 mm from the axis and 5 mm above the ball's middle [W].

    Inside, harmonic n of the field of a circle on the axis (any textbook: H_z on it, and 1 / (1 - 2 x t + t^2)^(3/2) as
    a sum of P_n'(x) t^(n - 1)) is (2 n + 1) / (n mu + n + 1) of what it would be without the ball.
    """
    away = math.hypot(0.035, 0.005)
    x, total = 0.005 / away, 0.0
    for n in range(1, 80):
        source = (1 - x**2) / (2 * away**n) * float(Legendre.basis(n).deriv()(x)) / n
        inside = source * (2 * n + 1) / abs(n * MU + n + 1)
        total += inside**2 * 4 * math.pi * n * BALL ** (2 * n + 1) / (2 * n + 1)
    return 2 * math.pi * FREQUENCY * MU0 * -MU.imag * total


def test_loss_of_a_ball_in_a_turn() -> None:
    ball = Conductor(Part("ball", round_bar(2 * BALL)), FERRITE)
    found = solve(fed(filament("turn", 0.035, 0.005, 2e-5, FREQUENCY), ball), FREQUENCY, accuracy=1e-5)
    exact = ball_in_a_turn()
    assert found.fine.powers[1].real == pytest.approx(exact, rel=1e-5)
    assert abs(found.fine.powers[1].real - exact) < found.power_errors[1] + 1e-6 * exact
    assert balance(found) < 1e-10
    assert found.fine.discretisation.elements.count < 2 * 4200
    assert found.fine.currents[1] == 0


def test_loss_of_a_rod_beside_a_wire() -> None:
    """Harmonic n of a line current inside a round rod is 2 mu / (mu + 1) of itself: their sum is a logarithm."""
    radius, away, omega = 0.01, 0.025, 2 * math.pi * FREQUENCY
    poor = Material("poor", 1.0)
    wire = Conductor(Part("wire", round_bar(2e-3).placed((away, 0.0))), poor)
    rod = Conductor(Part("rod", round_bar(2 * radius)), FERRITE)
    found = solve(Problem((wire, rod), (Circuit("feed", 1.0, ("wire",)),)), FREQUENCY, accuracy=1e-5)
    squared = -((MU0 / (2 * math.pi)) ** 2) * math.pi * math.log(1 - (radius / away) ** 2)
    exact = omega * (1 / MU).imag / MU0 * abs(2 * MU / (MU + 1)) ** 2 * squared
    assert found.fine.powers[1].real == pytest.approx(exact, rel=1e-5)
    assert abs(found.fine.powers[1].real - exact) < found.power_errors[1] + 1e-9 * exact


def test_its_loss_density_adds_up_and_beside_thin_skins_it_holds() -> None:
    """In the lifted form too, beside a billet with a thin skin."""
    problem = fed(
        solid("turn", round_bar(0.008).placed((0.045, 0.0))),
        Conductor(Part("core", on_axis(0.02, 0.05)), FERRITE),
        solid("plate", on_axis(0.05, 0.01, -0.05)),
    )
    found = solve(problem, frequency_for(2e-4), accuracy=1e-4)
    assert found.fine.lifted
    assert balance(found) < 1e-10
    d = found.fine.discretisation
    rows = d.elements.metal[d.mesh.part[d.elements.metal] == 1]
    places = np.array([[1 / 3, 1 / 3]])
    middle = loss_density(found.fine, rows, places)
    volume = d.elements.measure(rows, places) / 2
    assert float((middle * volume).sum()) == pytest.approx(found.fine.powers[1].real, rel=0.05)


def test_without_loss_it_is_a_magnet_only_and_at_rest_too() -> None:
    lossless = replace(FERRITE, permeability_loss=0.0)
    rod = Conductor(Part("rod", on_axis(0.02, 0.1)), lossless)
    coil = solid("turn", round_bar(0.004).placed((0.03, 0.0)))
    slow = solve(fed(coil, rod), 0.0)
    quick = solve(fed(coil, rod), 1.0)
    assert quick.fine.powers[1].real < 1e-12 * quick.fine.powers[0].real
    circuit = slow.problem.circuits[0]
    assert quick.fine.inductance(circuit) == pytest.approx(slow.fine.inductance(circuit), rel=1e-3)
    assert slow.fine.powers[1].real == 0


def test_slopes_over_its_permeability_and_place() -> None:
    """Against differences of tight solves: R, L and the loss of turn and ball."""
    def at(real: float = 300.0, loss: float = 40.0, away: float = 0.0) -> Problem:
        of = replace(FERRITE, permeability=real, permeability_loss=loss)
        ball = Conductor(Part("ball", round_bar(0.02)), of)
        return fed(solid("turn", round_bar(0.004).placed((0.02, away))), ball)

    def figures(problem: Problem) -> np.ndarray:
        found = solve(problem, FREQUENCY, accuracy=1e-5).fine
        (circuit,) = problem.circuits
        resistance = (found.circuit(circuit) / circuit.current).real
        return np.array([resistance, found.inductance(circuit), *found.powers.real])

    values = {"real": 300.0, "away": 0.004}
    solution = solve(at(**values), FREQUENCY, accuracy=1e-4)
    changes = [Change(k, at(**{**values, k: v * (1 + 1e-6)}), 1e-6 * v) for k, v in values.items()]
    for slope, (key, value) in zip(slopes(solution, changes, each=True), values.items(), strict=True):
        ends = [figures(at(**{**values, key: value * by})) for by in (0.995, 1.005)]
        wanted = (ends[1] - ends[0]) / (0.01 * value)
        assert slope.own is not None
        got = np.array([slope.resistance[0], slope.inductance[0], *slope.own.losses])
        assert got == pytest.approx(wanted, rel=1e-3, abs=2e-6 * float(np.abs(wanted * value).max()) / value), key


def test_crest_of_its_induction() -> None:
    """A ball in a uniform field has 3 mu / (mu + 2) of it all over; four turns make the field of 1 T rms."""
    from axial_rows import uniform_field

    ball = Conductor(Part("ball", round_bar(2 * BALL)), FERRITE)
    found = solve(uniform_field(FREQUENCY, 0.25, ball), FREQUENCY, accuracy=1e-4)
    exact = math.sqrt(2) * abs(3 * MU / (MU + 2))
    assert strong_induction(found.fine, 4) == pytest.approx(exact, rel=1e-3)
