"""Reduced models beside what does not conduct or has a permeability with loss, in the plane and round an axis."""

from __future__ import annotations

import csv
from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from common import COPPER, bar, rod

from crosscurrent.solver.band.band_mesh import band_mesh
from crosscurrent.solver.band.evaluator import at_temperature, evaluator
from crosscurrent.solver.band.impedance_limits import impedance_limits
from crosscurrent.solver.band.krylov import SweepError
from crosscurrent.solver.band.ladder import ladder
from crosscurrent.solver.band.passes import first_shift_basis, pencil_for, reduced
from crosscurrent.solver.band.ports import ports_of
from crosscurrent.solver.band.regrouped import by_circuits, impedance_of
from crosscurrent.solver.band.response import Response
from crosscurrent.solver.band.sweep import Sweep, sweep
from crosscurrent.solver.band.swept_slopes import swept_slopes
from crosscurrent.solver.field.changes import Change
from crosscurrent.solver.field.discretisation import Discretisation
from crosscurrent.solver.field.problem import Circuit, Conductor, Problem
from crosscurrent.solver.field.region_metals import region_metals, smooth_metals
from crosscurrent.solver.field.slopes import slopes
from crosscurrent.solver.field.solve import solve
from crosscurrent.solver.field.solved_flow import SolvedFlow
from crosscurrent.solver.field.unit_fields import solve_fields
from crosscurrent.solver.metals.depth import MU0
from crosscurrent.solver.metals.materials import MATERIALS, Material
from crosscurrent.solver.metals.strands import Strands
from crosscurrent.solver.time.excitation import offset
from crosscurrent.solver.time.history import fault_history

TABLE = Path(__file__).parents[2] / "references" / "axial_library.csv"
FREQUENCIES = [1e3, 3e3, 1e4, 2e4, 1e5]
FERRITES = {
    "lossless": Material("ferrite", 0.0, permeability=2000.0),
    "lossy": Material("ferrite", 0.0, permeability=2000.0, permeability_loss=40.0),
    "very lossy": Material("ferrite", 0.0, permeability=150.0, permeability_loss=90.0),
    "weakly conducting": Material("ferrite", 500.0, permeability=2000.0, permeability_loss=40.0),
}


def coil(ferrite: Material) -> Problem:
    """Six turns round a billet inside a sleeve, as of `axial_library.csv`."""
    turns = tuple(rod(f"turn {k}", 0.008, 0.045, 0.012 * (k - 2.5), Material("copper", 58e6)) for k in range(6))
    billet = bar("billet", 0.06, 0.16, material=Material("aluminium", 25e6))
    sleeve = bar("sleeve", 0.008, 0.14, 0.06, material=ferrite)
    names = tuple(one.name for one in turns)
    return Problem((*turns, billet, sleeve), (Circuit("coil", 1.0, names, sharing="series"),), axial=True)


def pair(ferrite: Material) -> Problem:
    """Go and return above a plate, in the plane."""
    go, back = (rod(name, 0.003, x, 0.0, COPPER) for name, x in (("go", -0.006), ("back", 0.006)))
    plate = bar("plate", 0.03, 0.004, 0.0, -0.007, material=ferrite)
    return Problem((go, back, plate), (Circuit("feed", 10.0, ("go",), ("back",)),))


@cache
def swept(section: object, kind: str, *, matrix: bool = False) -> Sweep:
    return sweep(section(FERRITES[kind]), FREQUENCIES, matrix=matrix)  # type: ignore[operator]


def on_its_mesh(found: Sweep, number: int) -> SolvedFlow:
    d, frequency = found.fine.model.discretisation, float(found.frequency[number])
    same = Discretisation(d.mesh, region_metals(found.problem, frequency), d.order)
    return SolvedFlow.of(found.problem, solve_fields(same, frequency, lifted=False))


@pytest.mark.parametrize(("section", "kind"), [(coil, "lossy"), *((pair, kind) for kind in FERRITES)])
def test_every_answer_is_that_of_a_solve_on_the_same_mesh(section: object, kind: str) -> None:
    found = swept(section, kind)
    (circuit,) = found.problem.circuits
    assert found.bounds.max() < found.wanted
    for number in (0, 2, 4):
        one, other = found.fine.flow(number), on_its_mesh(found, number)
        size = np.abs(other.powers).sum()
        assert abs(one.circuit(circuit) / other.circuit(circuit) - 1) < 1e-8
        assert found.fine.resistance(circuit)[number] == pytest.approx((other.circuit(circuit) / circuit.current).real)
        np.testing.assert_allclose(one.powers, other.powers, rtol=1e-5, atol=1e-9 * size)
        # a solve takes thin wires by the currents of the others, a sweep all by the stress around them
        assert (np.hypot(*(one.force - other.force).T) < found.force_errors[number]).all()
        off = np.abs(one.potential - other.potential).max()
        assert off < 3e-5 * np.abs(other.potential).max()  # the root of the bound on R and L
        assert one.discretisation.sigma.tolist() == other.discretisation.sigma.tolist()
        assert one.discretisation.stiff.tolist() == other.discretisation.stiff.tolist()


def test_loss_of_a_rod_beside_a_wire() -> None:
    """Harmonic n of a line current inside a round rod is 2 mu / (mu + 1) of itself: their sum is a logarithm.

    All of it goes with the frequency, as no network of resistors and inductors does.
    """
    radius, away, mu = 0.01, 0.025, 200 - 10j
    ferrite = Material("ferrite", 0.0, permeability=mu.real, permeability_loss=-mu.imag)
    wire, bar_of_it = rod("wire", 2e-3, away, 0.0, Material("poor", 1.0)), rod("rod", 2 * radius, material=ferrite)
    band = np.geomspace(1e2, 1e5, 40)
    found = sweep(Problem((wire, bar_of_it), (Circuit("feed", 1.0, ("wire",)),)), band, accuracy=1e-4)
    squared = -((MU0 / (2 * np.pi)) ** 2) * np.pi * np.log(1 - (radius / away) ** 2)
    exact = 2 * np.pi * band * (1 / mu).imag / MU0 * abs(2 * mu / (mu + 1)) ** 2 * squared
    np.testing.assert_allclose(found.fine.losses[:, 1], exact, rtol=1e-5)
    assert (np.abs(found.fine.losses[:, 1] - exact) < found.power_errors[:, 1] + 1e-9 * exact).all()


def test_slopes_over_a_band_are_those_of_single_solves() -> None:
    problem = pair(FERRITES["lossy"])
    nearer = replace(problem, conductors=(*problem.conductors[:2], bar("plate", 0.03, 0.004, 0.0, -0.007 + 1e-8,
                                                                       material=FERRITES["lossy"])))  # fmt: skip
    found = sweep(problem, FREQUENCIES)
    rates = swept_slopes(found, lambda s: [Change("place", nearer, 1e-8)])
    for number in (0, 4):
        (one,) = slopes(solve(problem, FREQUENCIES[number]), [Change("place", nearer, 1e-8)])
        assert rates.resistance[number, 0, 0] == pytest.approx(one.resistance[0], rel=2e-3)
        assert rates.inductance[number, 0, 0] == pytest.approx(one.inductance[0], rel=2e-3)


def test_a_coil_in_a_sleeve_takes_over_a_band_what_another_library_says() -> None:
    """`axial_library.csv`: the same coil at 1 and 20 kHz by the general library, with another unknown."""
    found = sweep(coil(FERRITES["lossy"]), [1e3, 20e3], accuracy=1e-4)
    (circuit,) = found.problem.circuits
    with TABLE.open(newline="") as lines:
        rows = [row for row in csv.reader(lines) if "25 MS/m" in ",".join(row)]
    for number, at in enumerate(("1000 Hz", "20000 Hz")):
        said = {row[0]: float(row[2]) for row in rows if at in ",".join(row)}
        ours = {
            "R": found.fine.resistance(circuit)[number], "L": found.fine.inductance(circuit)[number],
            "loss of the billet": found.fine.losses[number, -2], "loss of the sleeve": found.fine.losses[number, -1],
        }  # fmt: skip
        assert said.keys() == ours.keys()
        for name, value in said.items():
            assert ours[name] == pytest.approx(value, rel=1e-4), (name, at)


@pytest.mark.parametrize("section", [coil, pair])
def test_bars_hold_what_tight_solves_find(section: object) -> None:
    found = swept(section, "lossy")
    (circuit,) = found.problem.circuits
    for number in (0, 4):
        one = solve(found.problem, float(found.frequency[number]), accuracy=1e-5)
        resistance, inductance = (bar[number] for bar in found.circuit_errors(circuit))
        exact = one.fine.circuit(circuit) / circuit.current
        assert abs(found.fine.resistance(circuit)[number] / exact.real - 1) < resistance < 2e-3
        assert abs(found.fine.inductance(circuit)[number] / one.fine.inductance(circuit) - 1) < inductance
        assert (np.abs(found.fine.losses[number] - one.fine.powers.real) < found.power_errors[number]).all()


@pytest.mark.parametrize("kind", FERRITES)
def test_it_is_passive_and_has_a_ladder(kind: str) -> None:
    found = swept(pair, kind)
    long = impedance_of(found)
    wide = np.geomspace(1e3, 1e5, 61)
    assert (long.resistance(wide)[:, 0, 0] > 0).all()
    fitted = ladder(long, 1e3, 1e5, bound=1e-2)
    assert fitted.error < 1e-2


def test_at_rest_it_does_not_lag() -> None:
    found = swept(coil, "lossy").at([0.0, 1e3])
    one, (circuit,) = solve(found.problem, 0.0, accuracy=1e-5), found.problem.circuits
    assert found.fine.inductance(circuit)[0] == pytest.approx(one.fine.inductance(circuit), rel=1e-4)
    assert found.fine.losses[0, -1] == 0.0
    assert impedance_limits(impedance_of(found)).inductance_at_surface is None


def test_the_matrix_of_all_conductors_and_that_of_the_circuits_agree() -> None:
    every = swept(pair, "lossy", matrix=True)
    turned, own = by_circuits(every), swept(pair, "lossy")
    (circuit,) = own.problem.circuits
    for number in range(len(FREQUENCIES)):
        a, b, c = (s.fine.flow(number).circuit(circuit) for s in (every, turned, own))
        assert abs(a / b - 1) < 1e-7
        assert abs(a / c - 1) < 1e-4  # each on a mesh of its own


def test_strands_round_an_axis_carry_all_the_same_beside_it() -> None:
    """Transposed: I over their number, whatever the distance from the axis is."""
    lead = Conductor(rod("lead", 0.003, 0.02).part, MATERIALS["copper"], strands=Strands(420, 1e-4))
    disc = bar("disc", 0.06, 0.005, 0.0, -0.006, material=FERRITES["lossy"])
    problem = Problem((lead, disc), (Circuit("feed", 42.0, ("lead",)),), axial=True)
    found = sweep(problem, [2e4, 8.5e4])
    one, other = found.fine.flow(1), on_its_mesh(found, 1)
    mesh, elements = one.discretisation.mesh, one.discretisation.elements
    inside = np.unique(elements.dofs[mesh.part == 0])
    np.testing.assert_allclose(one.electric[inside], other.electric[inside], rtol=1e-9)
    np.testing.assert_allclose(one.powers, other.powers, rtol=1e-6)


def test_any_temperature_without_a_solve() -> None:
    made = evaluator(pair(FERRITES["lossy"]), (1e3, 1e5), (20.0, 120.0))
    warm, one = made.evaluate(2e4, 90.0), solve(at_temperature(made.sweep.problem, 90.0), 2e4, accuracy=1e-5)
    (circuit,) = one.problem.circuits
    exact = one.fine.circuit(circuit) / circuit.current
    resistance, inductance = (bar[0] for bar in warm.circuit_errors(circuit))
    assert abs(warm.fine.resistance(circuit)[0] / exact.real - 1) < resistance < 1e-3
    assert abs(warm.fine.inductance(circuit)[0] / one.fine.inductance(circuit) - 1) < inductance < 1e-3


def test_what_it_is_not_known_for_says_so() -> None:
    with pytest.raises(SweepError, match='"plate", which does not conduct or has a permeability with loss'):
        fault_history(swept(pair, "lossy"), "feed", offset(10.0, 50.0, 0.05, 0.1))
    unlike = replace(pair(FERRITES["lossy"]))
    third = bar("third", 0.004, 0.004, 0.03, material=Material("own", 14e6, temperature_coefficient=6.7e-3))
    mixed = replace(unlike, conductors=(*unlike.conductors, third))
    with pytest.raises(SweepError, match="metals that change unlike with temperature"):
        evaluator(mixed, (1e3, 1e5), (20.0, 120.0))


def test_a_model_begun_at_the_lowest_frequency_holds_at_the_highest() -> None:
    """As where the worst of a band was its low end: other shifts reach over the whole of it (its basis was filled)."""
    low, high = 5e3, 5e6
    problem = pair(FERRITES["weakly conducting"])
    metals, ports = smooth_metals(problem, high), ports_of(problem, matrix=False)
    d = Discretisation(band_mesh(problem, low, high), metals, 3)
    model = reduced(first_shift_basis(pencil_for(d, ports, low)), low, high, tolerance=1e-8)
    there = Discretisation(d.mesh, region_metals(problem, high), d.order)
    exact = SolvedFlow.of(problem, solve_fields(there, high, lifted=False))
    again = Response(problem, model, np.array([high])).flow(0)
    assert np.abs(again.powers.real / exact.powers.real - 1).max() < 1e-9
    assert model.basis.vectors.shape[1] < 80


def test_corners_of_ferrite_take_one_more_mesh() -> None:
    """Their layers come at once, not one with each mesh (four meshes before)."""
    turn, sleeve = rod("turn", 0.004, 0.02), bar("sleeve", 0.004, 0.02, 0.03, material=FERRITES["lossless"])
    found = sweep(Problem((turn, sleeve), (Circuit("coil", 1.0, ("turn",)),), axial=True), [1e2, 1e4])
    assert found.bounds.max() < found.wanted
    assert found.refinements == 1
