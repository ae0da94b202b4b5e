"""Steel at its field strength round an axis: a billet in a coil; and the half space of the reference rows."""

from __future__ import annotations

import math

import numpy as np
import pytest
from axial_rows import axial_rows, balance, on_axis, rectangle
from steel_curves import HERTZ, RISING, SMOOTH, steel

from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.shapes import round_bar
from crosscurrent.solver.field.alone import alone
from crosscurrent.solver.field.discretisation import Discretisation
from crosscurrent.solver.field.problem import Circuit, Conductor, Problem
from crosscurrent.solver.field.region_metals import region_metals, region_skins
from crosscurrent.solver.field.solve import solve
from crosscurrent.solver.field.steel import initial, settled, steel_mesh
from crosscurrent.solver.metals.magnetisation import Magnetisation
from crosscurrent.solver.metals.materials import MATERIALS, Material

RADIUS, STRENGTH = 0.1, 1e4
CURVE = Magnetisation.froelich(1000.0, 1.95)
STEEL = Material("steel of the rows", 5e6, permeability=CURVE.initial, magnetisation=CURVE)


def billet_in_a_coil(current: float, curve: Magnetisation) -> Problem:
    """Five turns of copper round a steel billet."""
    turns = tuple(
        Conductor(Part(f"turn {k}", round_bar(0.01).placed((0.045, (k - 2) * 0.015))), MATERIALS["copper"])
        for k in range(5)
    )
    billet = Conductor(Part("billet", on_axis(0.03, 0.1)), steel(curve))
    coil = Circuit("coil", current, tuple(turn.name for turn in turns), sharing="series")
    return Problem((*turns, billet), (coil,), axial=True)


@pytest.mark.parametrize("current", [10.0, 3e3])
@pytest.mark.parametrize("curve", [SMOOTH, RISING], ids=["smooth", "rising and falling"])
def test_the_same_end_from_three_starts(curve: Magnetisation, current: float) -> None:
    given = billet_in_a_coil(current, curve)
    metals, skins = region_metals(given, HERTZ), region_skins(given, HERTZ)
    d, ends = Discretisation(steel_mesh(given.section, skins, metals), metals, 3), []
    for permeability in (10.0, 300.0, 2000.0):
        found = settled(given, d, HERTZ, lifted=True, start=initial(d, permeability))
        assert found.discretisation.effective is not None
        assert found.discretisation.effective.solves <= 25
        ends.append(found.powers[-1])
    assert np.ptp(np.real(ends)) < 2e-3 * abs(np.real(ends[0]))
    assert np.ptp(np.imag(ends)) < 2e-3 * abs(np.imag(ends[0]))


def test_a_billet_keeps_its_balance_and_its_bars() -> None:
    """Loss from the densities and from the terminals; a finer solve within what orders leave open."""
    solution = solve(billet_in_a_coil(3e3, SMOOTH), HERTZ, accuracy=1e-2)
    finer = solve(billet_in_a_coil(3e3, SMOOTH), HERTZ, accuracy=5e-4)
    assert balance(solution) < 1e-10
    assert np.all(np.abs(finer.fine.powers.real - solution.fine.powers.real) < solution.power_errors)
    assert abs(finer.fine.powers[-1].real / solution.fine.powers[-1].real - 1) < 1e-2
    assert solution.steel is not None
    # flux that air beside the billet limits is lossier the lower the permeability: mu 1000 says a third
    assert solution.steel.linear.powers[-1].real < 0.5 * solution.fine.powers[-1].real


@pytest.mark.parametrize(("rows", "strength"), [("061 062", 1e3), ("063 064", 1e4), ("065 066", 1e5)])
def test_half_space_beside_steps_in_time(rows: str, strength: float) -> None:
    """A rod so thick that it is one: loss within 6, reactance within 20 % of steps in time of the exact curve."""
    thick = 2.0
    rod = alone(round_bar(2 * thick), strength * 2 * math.pi * thick)
    given = Problem((Conductor(rod.conductors[0].part, STEEL),), rod.circuits)
    solution = solve(given, HERTZ)
    power = solution.fine.powers[0] / (2 * math.pi * thick * strength**2)
    of_r, of_x = (axial_rows()[k] for k in rows.split())
    assert of_r.off(power.real) < 0.06
    assert of_x.off(power.imag) < 0.2
    assert of_r.off(power.real) < solution.loss_errors[0]
    (circuit,) = given.circuits
    reactance = solution.fine.inductance(circuit) * 2 * math.pi * HERTZ
    turned = solution.circuit_errors(circuit)[1] * reactance * abs(circuit.current) ** 2
    assert abs(power.imag - of_x.value) < turned / (2 * math.pi * thick * strength**2)


def test_in_a_long_coil_the_surface_is_that_half_space() -> None:
    """Losses of two lengths less each other; 1 % of curvature beside the 6 % of the band."""
    found = []
    for long in (2.0, 4.0):
        sheet = Conductor(Part("sheet", rectangle(1.5 * RADIUS, 1.501 * RADIUS, long)), Material("poor", 1e3))
        billet = Conductor(Part("billet", on_axis(RADIUS, long)), STEEL)
        coil = Circuit("coil", STRENGTH * long, ("sheet",))
        solution = solve(Problem((sheet, billet), (coil,), axial=True), HERTZ, accuracy=5e-3)
        found.append(solution.fine.powers[1].real)
    loss = (found[1] - found[0]) / 2.0 / (2 * math.pi * RADIUS * STRENGTH**2)
    assert axial_rows()["063"].off(loss) < 0.06
