"""Sweeps with bundles of strands: against solves one by one on the same mesh, and what a network must obey."""

from __future__ import annotations

import math
import pickle
from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.shapes import bar, round_bar
from crosscurrent.postprocess.answers.answers import answers
from crosscurrent.solver.band.evaluator import at_temperature, evaluator
from crosscurrent.solver.band.impedance_limits import impedance_limits
from crosscurrent.solver.band.krylov import SweepError
from crosscurrent.solver.band.ladder import ladder
from crosscurrent.solver.band.regrouped import by_circuits, impedance_of
from crosscurrent.solver.band.sweep import Sweep, sweep
from crosscurrent.solver.field.discretisation import Discretisation
from crosscurrent.solver.field.problem import Bound, Circuit, Conductor, Problem
from crosscurrent.solver.field.region_metals import region_metals
from crosscurrent.solver.field.solve import solve
from crosscurrent.solver.field.solved_flow import SolvedFlow
from crosscurrent.solver.field.strand_bars import strand_losses
from crosscurrent.solver.field.unit_fields import solve_fields
from crosscurrent.solver.metals.materials import MATERIALS, Material
from crosscurrent.solver.metals.strands import Lay, Strands
from crosscurrent.solver.time.excitation import step
from crosscurrent.solver.time.history import fault_history

LOW, HIGH = 1e3, 1e6
COPPER = MATERIALS["copper"]


def lead(name: str, x: float, **more: object) -> Conductor:
    strands = replace(Strands(400, 1e-4, gathered=more.get("lay") == "straight"), **more)  # type: ignore[arg-type]
    return Conductor(Part(name, round_bar(2.8e-3).placed((x, 0.0))), COPPER, strands=strands)


def plate() -> Conductor:
    return Conductor(Part("plate", bar(16e-3, 1.5e-3).placed((0.0, -4e-3))), COPPER)


def in_rings_beside_a_plate() -> Problem:
    return Problem(
        (lead("a", -2e-3, lay="concentric"), lead("b", 2e-3, layout="rings"), plate()),
        (Circuit("feed", 10.0, ("a",), ("b",)),),
    )


def beside_a_plate() -> Problem:
    return Problem((lead("a", -2e-3), lead("b", 2e-3), plate()), (Circuit("feed", 10.0, ("a",), ("b",)),))


def in_parallel() -> Problem:
    rod = Conductor(Part("rod", round_bar(2.8e-3).placed((0.0, 6e-3))), COPPER)
    return Problem((lead("a", -2e-3), lead("b", 2e-3, count=300), rod), (Circuit("feed", 10.0, ("a", "b"), ("rod",)),))


def straight_beside_a_plate() -> Problem:
    return Problem(
        (lead("a", -2e-3, lay="straight"), lead("b", 2e-3, lay="straight", count=300), plate()),
        (Circuit("feed", 10.0, ("a",), ("b",)),),
    )


def straight_and_transposed_beside_a_plate() -> Problem:
    return Problem(
        (lead("a", -2e-3, lay="straight"), lead("b", 2e-3), plate()), (Circuit("feed", 10.0, ("a",), ("b",)),)
    )


def straight_beside_a_rod_in_parallel() -> Problem:
    rod = Conductor(Part("rod", round_bar(2.8e-3).placed((0.0, 6e-3))), COPPER)
    leads = (lead("a", -2e-3, lay="straight"), lead("b", 2e-3, count=300))
    return Problem((*leads, rod), (Circuit("feed", 10.0, ("a", "rod"), ("b",)),))


def few_straight_above_a_bar() -> Problem:
    around = round_bar(1e-4 * math.sqrt(61 / 0.55))
    strands = Strands(61, 1e-4, lay="straight", gathered=True)
    leads = [
        Conductor(Part(name, around.placed((x, 0.0))), COPPER, strands=strands)
        for name, x in (("a", -0.8e-3), ("b", 0.8e-3))
    ]
    below = Conductor(Part("plate", bar(20e-3, 2e-3).placed((0.0, -5e-3))), COPPER)
    return Problem((*leads, below), (Circuit("feed", 1.0, ("a",), ("b",)),))


@cache
def swept(section: object) -> Sweep:
    problem: Problem = section()  # type: ignore[operator]
    return sweep(problem, [0.0, *np.geomspace(LOW, HIGH, 40)], matrix=section is beside_a_plate)


def one_by_one(found: Sweep, number: int) -> SolvedFlow:
    d, frequency = found.fine.model.discretisation, float(found.frequency[number])
    metals = region_metals(found.problem, frequency)
    return SolvedFlow.of(found.problem, solve_fields(Discretisation(d.mesh, metals, d.order), frequency, lifted=False))


STRAIGHT = [straight_beside_a_plate, straight_and_transposed_beside_a_plate, straight_beside_a_rod_in_parallel]


@pytest.mark.parametrize("section", [beside_a_plate, in_parallel, in_rings_beside_a_plate, *STRAIGHT])
@pytest.mark.parametrize("number", [0, 27, 40])
def test_every_answer_is_that_of_a_solve_on_the_same_mesh(section: object, number: int) -> None:
    found = swept(section)
    one, other, circuit = one_by_one(found, number), found.fine.flow(number), found.problem.circuits[0]
    assert other.circuit(circuit) == pytest.approx(one.circuit(circuit), rel=1e-8)
    assert other.inductance(circuit) == pytest.approx(one.inductance(circuit), rel=1e-8)
    np.testing.assert_allclose(other.currents, one.currents, atol=1e-8 * np.abs(one.currents).max())
    np.testing.assert_allclose(other.voltages, one.voltages, atol=1e-8 * np.abs(one.voltages).max())
    np.testing.assert_allclose(other.powers, one.powers, atol=1e-6 * np.abs(one.powers).max())
    np.testing.assert_allclose(other.region_currents, one.region_currents, atol=1e-8 * np.abs(one.currents).max())
    np.testing.assert_allclose(other.forces.mean, one.force, atol=1e-6 * np.abs(one.force).max())
    np.testing.assert_allclose(other.potential, one.potential, atol=1e-6 * np.abs(one.potential).max())
    metal = found.fine.model.basis.metal_unknowns
    np.testing.assert_allclose(other.electric[metal], one.electric[metal], atol=1e-6 * np.abs(one.electric).max())


def test_the_matrix_is_that_of_solves_on_the_same_mesh() -> None:
    """Of all conductors, for any currents: three fields a term, each with less and less of its own."""
    found = sweep(straight_beside_a_plate(), np.geomspace(LOW, HIGH, 7), matrix=True)
    for number in (0, 3, 4, 6):
        exact, own = one_by_one(found, number).fields.impedance, found.fine.impedance[number]
        for part, other in ((exact.real, own.real), (exact.imag, own.imag)):
            left = np.linalg.inv(np.linalg.cholesky(part))
            assert np.abs(left @ (other - part) @ left.T).max() < 1e-8


def test_bars_are_those_of_a_solve() -> None:
    """Edges of the strands included; the bound that a mesh lessens is met at every point."""
    found = swept(beside_a_plate)
    assert found.bounds.max() < 1e-3
    one, circuit = solve(found.problem, float(found.frequency[30])), found.problem.circuits[0]
    edge = strand_losses(one.fine)[0]
    mesh = found.bounds[30] * found.fine.losses[30, 0]
    assert 0.999 * edge < found.power_errors[30, 0] < 1.001 * edge + mesh
    for own, other in zip(found.circuit_errors(circuit), one.circuit_errors(circuit), strict=True):
        assert own[30] == pytest.approx(other, rel=0.2)
    resistance = (one.fine.circuit(circuit) / circuit.current).real
    assert found.fine.resistance(circuit)[30] == pytest.approx(resistance, rel=found.bounds[30] + one.bound)


@pytest.mark.parametrize("section", [beside_a_plate, in_rings_beside_a_plate, straight_beside_a_plate])
def test_the_impedance_is_passive_far_beyond_the_circuit(section: object) -> None:
    """For any currents in any conductors, the plate's included."""
    problem: Problem = section()  # type: ignore[operator]
    found = sweep(problem, [LOW, HIGH], matrix=True).at([0.0, *np.geomspace(LOW, HIGH, 300)])
    assert np.linalg.eigvalsh(found.fine.impedance.real).min() > 0
    assert max(bound.max() for bound in found.fine.model.relative_bounds(found.frequency)) < 1e-8


@pytest.mark.parametrize("section", [beside_a_plate, in_rings_beside_a_plate, *STRAIGHT[:2]])
def test_a_ladder_of_positive_elements(section: object) -> None:
    foster = by_circuits(swept(section)).fine.model.foster
    found = ladder(foster, LOW, HIGH, bound=1e-3)
    assert found.error < 1e-3
    assert found.foster.surface_inductance.min() > 0
    assert found.foster.rates.min() > 0
    assert impedance_limits(foster).inductance_at_surface is None


def test_bundles_in_parallel_have_an_impedance_and_a_ladder() -> None:
    found = swept(in_parallel)
    (circuit,), long = found.problem.circuits, impedance_of(found)
    resistance, inductance = long.resistance(found.frequency)[:, 0, 0], long.inductance(found.frequency)[:, 0, 0]
    np.testing.assert_allclose(resistance, found.fine.resistance(circuit), rtol=1e-9)
    np.testing.assert_allclose(inductance, found.fine.inductance(circuit), rtol=1e-9)
    assert ladder(long, LOW, HIGH, bound=1e-3).error < 1e-3


def test_any_temperature_without_a_solve() -> None:
    made = evaluator(Problem((lead("a", 0.0),), (Circuit("feed", 1.0, ("a",)),)), (LOW, HIGH), (20.0, 120.0))
    warm, one = made.evaluate(3e5, 90.0), solve(at_temperature(made.sweep.problem, 90.0), 3e5)
    circuit = one.problem.circuits[0]
    assert warm.fine.resistance(circuit)[0] == pytest.approx(one.fine.circuit(circuit).real, rel=1e-7)
    assert warm.fine.losses[0, 0] == pytest.approx(one.fine.powers[0].real, rel=1e-7)
    (own,), (other,) = warm.fine.flow(0).discretisation.strands, one.fine.discretisation.strands
    assert own is not None
    assert other is not None
    assert own.permeability == pytest.approx(other.permeability, rel=1e-12)


def test_any_temperature_beside_a_metal_that_changes_unlike() -> None:
    nickel = Conductor(plate().part, Material("plate", 14e6, temperature_coefficient=6.7e-3))
    problem = Problem((lead("a", 0.0), nickel), (Circuit("feed", 1.0, ("a",)),))
    warm = evaluator(problem, (1e4, 3e5), (20.0, 120.0)).evaluate(1e5, 90.0)
    one, (circuit,) = one_by_one(warm, 0), problem.circuits
    np.testing.assert_allclose(warm.fine.losses[0], one.powers.real, rtol=1e-6)
    assert warm.fine.resistance(circuit)[0] == pytest.approx(one.circuit(circuit).real, rel=1e-9)
    certified = warm.fine.reduction[0] / warm.fine.losses.sum()
    assert 0 < certified < 1e-6


def test_it_goes_through_pickle() -> None:
    found = swept(beside_a_plate)
    again = pickle.loads(pickle.dumps(found))
    np.testing.assert_array_equal(again.fine.losses, found.fine.losses)


def seven(lay: Lay) -> Problem:
    places = [0.0, *np.exp(1j * np.pi * np.arange(6) / 3)]
    names = tuple(f"s{k}" for k in range(7))
    wires = [round_bar(0.4e-3).placed((0.45e-3 * z.real, 0.45e-3 * z.imag)) for z in np.array(places)]
    strands = tuple(Conductor(Part(n, w), COPPER) for n, w in zip(names, wires, strict=True))
    bundle = Bound("lead", names, lay, (0, 1, 1, 1, 1, 1, 1))
    return Problem(strands, (Circuit("feed", 7.0, names),), bundles=(bundle,))


@pytest.mark.parametrize("lay", ["concentric", "straight"])
def test_resolved_strands_that_share_unevenly_are_swept(lay: Lay) -> None:
    problem = seven(lay)
    (circuit,), found = problem.circuits, sweep(problem, np.geomspace(1e3, 1e5, 9))
    for number in (0, 5, 8):
        one = one_by_one(found, number)
        np.testing.assert_allclose(found.fine.currents[number], one.currents, rtol=1e-7)
        assert found.fine.flow(number).circuit(circuit) == pytest.approx(one.circuit(circuit), rel=1e-8)
    assert ladder(impedance_of(found), 1e3, 1e5, bound=1e-3).error < 1e-3


def test_resolved_transposed_strands_are_swept() -> None:
    """Seven of them, joined by nothing but their lay: each carries a seventh."""
    problem = seven("transposed")
    found = sweep(problem, np.geomspace(1e3, 1e5, 5), accuracy=1e-2)
    np.testing.assert_allclose(found.fine.currents, 1.0, atol=1e-9)
    (circuit,) = problem.circuits
    expected = (solve(problem, 1e5, accuracy=1e-3).fine.circuit(circuit) / circuit.current).real
    assert found.fine.resistance(circuit)[-1] == pytest.approx(expected, rel=5e-3)


def one_lead(**more: object) -> Problem:
    return Problem((lead("a", 0.0, **more),), (Circuit("feed", 1.0, ("a",)),))


def test_strands_far_thicker_than_the_skin_say_so() -> None:
    with pytest.raises(SweepError, match="strands far thicker than the skin at 1e"):
        sweep(one_lead(), [1e3, 1e10])


def test_strands_that_do_not_fit_say_so() -> None:
    with pytest.raises(SweepError, match="need more room than its outline has"):
        sweep(one_lead(count=1200), [1e3, 1e4])


def test_what_is_not_known_says_so() -> None:
    with pytest.raises(SweepError, match="bundle of strands in parallel"):
        by_circuits(swept(in_parallel))
    with pytest.raises(SweepError, match="solved for ring by ring"):
        fault_history(sweep(seven("concentric"), [1e3, 1e4]), "feed", step(10.0, 1e-3))


def test_bars_of_straight_strands_are_those_of_a_solve() -> None:
    """With what steps from row to row leave open; the bound that a mesh lessens is met at every point."""
    found = swept(straight_beside_a_plate)
    assert found.bounds.max() < 1e-3
    one, circuit = solve(found.problem, float(found.frequency[30])), found.problem.circuits[0]
    edge = strand_losses(one.fine)[:2]
    mesh = found.bounds[30] * found.fine.losses[30, :2]
    assert (0.999 * edge < found.power_errors[30, :2]).all()
    assert (found.power_errors[30, :2] < 1.001 * edge + mesh).all()
    for own, other in zip(found.circuit_errors(circuit), one.circuit_errors(circuit), strict=True):
        assert own[30] == pytest.approx(other, rel=0.2)
    resistance = (one.fine.circuit(circuit) / circuit.current).real
    assert found.fine.resistance(circuit)[30] == pytest.approx(resistance, rel=1e-5)


def test_the_matrix_takes_few_fields() -> None:
    """Of two leads and a bar without current: rounding of means filled all 360 fields that there is room for."""
    problem = few_straight_above_a_bar()
    found = sweep(problem, [LOW, HIGH], matrix=True)
    assert len(found.fine.model.foster.rates) < 120
    assert found.bounds.max() < found.wanted
    alone = answers(solve(problem, HIGH, accuracy=1e-5)).circuits["feed"].resistance
    assert found.fine.resistance(problem.circuits[0])[1] == pytest.approx(alone, rel=1e-5)


@pytest.mark.parametrize("low", [60e3, 80e3])
def test_shifts_close_together_are_not_the_end(low: float) -> None:
    """Where the second brings nothing new the first has more: a lone lead went on with nine fields, at 0.17 %."""
    strands = Strands(1218, 2e-4, lay="straight", gathered=True)
    thick = Conductor(Part("a", round_bar(9.87e-3)), COPPER, strands=strands)
    problem = Problem((thick,), (Circuit("feed", 1.0, ("a",)),))
    found = sweep(problem, [low, 85e3, 90e3])
    assert found.bounds.max() < 2e-4
    assert found.fine.model.discretisation.elements.count < 3000
    alone = answers(solve(problem, 85e3, accuracy=1e-5)).circuits["feed"].resistance
    assert found.fine.resistance(problem.circuits[0])[1] == pytest.approx(alone, rel=1e-5)


def test_bounds_where_all_that_is_missed_is_rounding() -> None:
    """At low frequency few fields are all there are: norms of what is left are of any sign, and were a bar of nan."""
    bundles = {
        "a": (0.0, Strands(350, 82.634e-6, lay="straight", gathered=True)),
        "b": (4.0643e-3, Strands(796, 56.412e-6)),
        "c": (8.397e-3, Strands(624, 76.182e-6)),
    }
    leads = [
        Conductor(Part(n, round_bar(s.diameter * math.sqrt(2 * s.count)).placed((x, 0.0))), COPPER, strands=s)
        for n, (x, s) in bundles.items()
    ]
    problem = Problem(tuple(leads), (Circuit("feed", 1.0, ("a",), ("b",)),))
    found = sweep(problem, np.geomspace(11.4, 9400.0, 5))
    assert np.isfinite(found.bounds).all()
    assert (found.fine.reduction >= 0).all()
    assert found.bounds.max() < found.wanted


def test_straight_strands_at_any_temperature() -> None:
    made = evaluator(one_lead(lay="straight"), (LOW, HIGH), (20.0, 120.0))
    warm, one = made.evaluate(3e5, 90.0), solve(at_temperature(made.sweep.problem, 90.0), 3e5)
    circuit = one.problem.circuits[0]
    assert warm.fine.resistance(circuit)[0] == pytest.approx(one.fine.circuit(circuit).real, rel=1e-6)
    assert warm.fine.losses[0, 0] == pytest.approx(one.fine.powers[0].real, rel=1e-6)
    assert warm.bounds[0] < 1e-3


def test_what_straight_strands_are_not_known_for_says_so() -> None:
    with pytest.raises(SweepError, match="straight lay as one medium"):
        fault_history(swept(straight_beside_a_plate), "feed", step(10.0, 1e-3))
    nickel = Conductor(plate().part, Material("plate", 14e6, temperature_coefficient=6.7e-3))
    problem = Problem((lead("a", 0.0, lay="straight"), nickel), (Circuit("feed", 1.0, ("a",)),))
    with pytest.raises(SweepError, match="change unlike with temperature"):
        evaluator(problem, (1e4, 3e5), (20.0, 120.0))
