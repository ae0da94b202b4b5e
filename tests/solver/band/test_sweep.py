"""Sweeps: against Bessel functions, against direct solves on the same mesh, and what a network must obey."""

import os
from collections.abc import Callable
from functools import cache

import mpmath
import numpy as np
import pytest
from common import COPPER, SIGMA, TURN, bar, conductor, metal, pair, rod
from scipy.special import iv, ivp

from crosscurrent.geometries.plane import shapes
from crosscurrent.postprocess.answers.answers import answers
from crosscurrent.solver.band.band_mesh import band_mesh
from crosscurrent.solver.band.foster import split
from crosscurrent.solver.band.krylov import SweepError
from crosscurrent.solver.band.passes import reduce
from crosscurrent.solver.band.ports import ports_of
from crosscurrent.solver.band.reduced import Reduced
from crosscurrent.solver.band.sweep import sweep
from crosscurrent.solver.field.discretisation import Discretisation, RegionMetal
from crosscurrent.solver.field.problem import Circuit, Conductor, Problem
from crosscurrent.solver.field.solve import solve
from crosscurrent.solver.field.solved_flow import SolvedFlow
from crosscurrent.solver.field.unit_fields import solve_fields

MU0 = 4e-7 * np.pi
LOW, HIGH = 10.0, 1e7
RANDOM = int(os.environ.get("SWEEP_FREQUENCIES", "4"))  # 30 on demand
STEEL, ALUMINIUM = metal(6.99e6, 200), metal(34.8e6)


def facing_bars() -> Problem:
    """Go and return, 100 x 6 mm at 1 mm."""
    shape = shapes.bar(0.1, 0.006, 0.0005)
    return pair(conductor("out", shape, (0, 0.0035)), conductor("back", shape, (0, -0.0035)))


def four_bars() -> Problem:
    """Two copper and two aluminium bars, shared freely two by two."""
    metals = (COPPER, ALUMINIUM, COPPER, ALUMINIUM)
    bars = [conductor(f"b{k}", shapes.bar(0.02, 0.004), (0, 0.006 * k), m) for k, m in enumerate(metals)]
    return Problem(tuple(bars), (Circuit("feed", 100.0, ("b0", "b1"), ("b2", "b3")),))


def steel_wall() -> Problem:
    """A copper bar above a steel plate that carries no net current."""
    wall = conductor("wall", shapes.bar(0.06, 0.003), (0, -0.012), STEEL)
    return Problem((bar("bar", 0.03, 0.006), wall), (Circuit("feed", 100.0, ("bar",)),))


def three_phases() -> Problem:
    """Three bars, a third of a turn apart."""
    bars = tuple(bar(name, 0.006, 0.03, x) for name, x in zip("ABC", (-0.02, 0.0, 0.02), strict=True))
    return Problem(bars, tuple(Circuit(name, 100 * TURN**k, (name,)) for k, name in enumerate("ABC")))


SECTIONS = (facing_bars, four_bars, steel_wall, three_phases)
AREAS = {  # of the outlines above, in their order [m2]
    facing_bars: (0.1 * 0.006 - (4 - np.pi) * 0.0005**2,) * 2,
    four_bars: (0.02 * 0.004,) * 4,
    steel_wall: (0.03 * 0.006, 0.06 * 0.003),
    three_phases: (0.03 * 0.006,) * 3,
}
# The pair goes to the top of the band, the others, of more and sharper parts, until they are thick against the skin.
TOP = {facing_bars: HIGH, four_bars: 1e6, steel_wall: 1e6, three_phases: 1e6}


@cache
def discretised(section: object) -> tuple[Problem, Discretisation]:
    """A section with its mesh for the band, order 3."""
    problem: Problem = section()  # type: ignore[operator]
    metals = tuple(RegionMetal(c.material.conductivity, c.material.permeability) for c in problem.conductors)
    return problem, Discretisation(band_mesh(problem, LOW, TOP[section]), metals, 3)  # type: ignore[index]


@cache
def reduced(section: object, *, matrix: bool, tolerance: float = 1e-6) -> Reduced:
    """Its reduced model."""
    problem, d = discretised(section)
    top = TOP[section]  # type: ignore[index]
    return reduce(d, ports_of(problem, matrix=matrix), LOW, top, tolerance=tolerance)


@cache
def direct(section: object) -> tuple[np.ndarray, list[SolvedFlow]]:
    """Flows solved one by one on the same mesh, at random frequencies."""
    problem, d = discretised(section)
    top = TOP[section]  # type: ignore[index]
    frequency = 10 ** np.random.default_rng(7).uniform(np.log10(LOW), np.log10(top), RANDOM)
    return frequency, [SolvedFlow.of(problem, solve_fields(d, f, lifted=f > 1e3)) for f in frequency]


def wire_impedance(radius: float, frequency: np.ndarray) -> np.ndarray:
    """Internal impedance of a round wire (Kelvin 1889) [ohm/m]."""
    p = np.sqrt(2j * np.pi * frequency * MU0 * SIGMA) * radius
    large = np.abs(p) > 300
    ratio = np.empty_like(p)
    ratio[~large] = iv(0, p[~large]) / ivp(0, p[~large])
    q = 8 * p[large]  # Hankel's expansions of I0 and I1 (Abramowitz and Stegun 9.7.1)
    ratio[large] = (1 + 1 / q + 9 / (2 * q**2) + 75 / (2 * q**3)) / (1 - 3 / q - 15 / (2 * q**2) - 105 / (2 * q**3))
    return np.asarray(p / (2 * np.pi * radius**2 * SIGMA) * ratio)


def test_a_round_wire_follows_bessel_at_a_thousand_frequencies() -> None:
    frequency = np.geomspace(LOW, HIGH, 1000)
    found = sweep(Problem((rod("wire", 0.01),), (Circuit("i", 1.0, ("wire",)),)), frequency)
    circuit = found.problem.circuits[0]
    exact = wire_impedance(0.005, frequency)
    d = found.fine.model.discretisation
    outside = MU0 / (2 * np.pi) * np.log(np.e * d.mesh.radius / 0.005)
    off = np.abs(found.fine.resistance(circuit) / exact.real - 1)
    off_l = np.abs(found.fine.inductance(circuit) / (outside + exact.imag / (2 * np.pi * frequency)) - 1)
    resistance_bar, inductance_bar = found.circuit_errors(circuit)
    assert off.max() < 1e-4
    assert off_l.max() < 1e-6
    assert (off <= resistance_bar).all()
    assert (off_l <= inductance_bar).all()
    assert found.bounds.max() <= 1e-3


@pytest.mark.parametrize("section", SECTIONS)
def test_circuits_agree_with_direct_solves(section: object) -> None:
    problem, _ = discretised(section)
    frequency, flows = direct(section)
    foster = reduced(section, matrix=False).foster
    resistance, inductance = foster.resistance(frequency), foster.inductance(frequency)
    currents = np.array([c.current for c in problem.circuits])
    for k, flow in enumerate(flows):
        voltage = np.array([flow.circuit(c) for c in problem.circuits])
        omega = 2 * np.pi * frequency[k]
        own = (resistance[k] + 1j * omega * inductance[k]) @ currents
        np.testing.assert_allclose((own / currents).real, (voltage / currents).real, rtol=1e-6)
        np.testing.assert_allclose((own / currents).imag, (voltage / currents).imag, rtol=1e-6)


@pytest.mark.parametrize("section", SECTIONS)
def test_the_matrix_agrees_with_direct_solves(section: object) -> None:
    frequency, flows = direct(section)
    impedance = reduced(section, matrix=True).foster.impedance(frequency)
    for own, flow in zip(impedance, flows, strict=True):
        exact = flow.fields.impedance
        left = np.linalg.inv(np.linalg.cholesky(exact.real))
        assert np.abs(left @ (own - exact).real @ left.T).max() < 1e-6
        left = np.linalg.inv(np.linalg.cholesky(exact.imag))
        assert np.abs(left @ (own - exact).imag @ left.T).max() < 1e-6


@pytest.mark.parametrize("section", SECTIONS)
def test_the_certificate_covers_the_true_error(section: object) -> None:
    frequency, flows = direct(section)
    ratios = []
    for tolerance in (1e-1, 1e-6):
        model = reduced(section, matrix=True, tolerance=tolerance)
        impedance, bound = model.foster.impedance(frequency), model.bound(frequency)
        for k, flow in enumerate(flows):
            exact = flow.fields.impedance
            current = np.linspace(1.0, -1.0, len(exact))  # net current nil
            missed = abs(current @ (impedance[k] - exact) @ current) / abs(current @ exact @ current)
            promised = (current @ bound[k] @ current).real / abs(current @ exact @ current)
            if missed > 1e-10:
                assert missed <= promised * (1 + 1e-3) + 1e-10
                ratios.append(promised / missed)
    assert len(ratios) >= RANDOM
    assert np.median(ratios) < 10


@pytest.mark.parametrize("matrix", [False, True])
@pytest.mark.parametrize("section", SECTIONS)
def test_the_network_is_passive_and_reciprocal(section: object, matrix: bool) -> None:
    foster = reduced(section, matrix=matrix).foster
    frequency = np.geomspace(0.01, 100e9, 300)
    for values in (foster.resistance(frequency), foster.inductance(frequency)):
        size = np.abs(values).max(axis=(1, 2))
        assert (np.abs(values - values.transpose(0, 2, 1)).max(axis=(1, 2)) <= 1e-14 * size).all()
        assert (np.linalg.eigvalsh(values)[:, 0] > 0).all()
    assert (np.diff(foster.resistance(frequency), axis=0)[:, 0, 0] >= 0).all()
    assert (np.diff(foster.inductance(frequency), axis=0)[:, 0, 0] <= 0).all()


@pytest.mark.parametrize("section", SECTIONS)
def test_direct_current_is_exact(section: object) -> None:
    problem, d = discretised(section)
    foster = reduced(section, matrix=True).foster
    sigma = np.array([c.material.conductivity for c in problem.conductors])
    exact = 1 / (sigma * AREAS[section])  # type: ignore[index]
    own = foster.resistance(0.0)[0]
    np.testing.assert_allclose(np.diag(own), exact, rtol=1e-12)
    assert np.abs(own - np.diag(np.diag(own))).max() == 0
    np.testing.assert_allclose(
        foster.inductance(0.0)[0], solve_fields(d, 0.0, lifted=False).inductance_at_rest, rtol=1e-8
    )


def test_every_answer_of_a_point_is_there_at_every_point() -> None:
    problem, frequency = four_bars(), np.array([0.0, 60.0, 5e3, 2e5])
    found = sweep(problem, frequency)
    d = found.fine.model.discretisation
    for k, f in enumerate(frequency[1:], 1):
        flow = SolvedFlow.of(problem, solve_fields(d, f, lifted=True))
        bar_of = found.power_errors[k]
        assert (np.abs(found.fine.losses[k] - flow.powers.real) <= bar_of).all()
        np.testing.assert_allclose(found.fine.losses[k], flow.powers.real, rtol=1e-6)
        scale = np.abs(flow.currents).max()
        np.testing.assert_allclose(found.fine.currents[k], flow.currents, atol=1e-3 * scale)
        np.testing.assert_allclose(found.fine.force[k], flow.force, atol=1e-4 * np.abs(flow.force).max())
        np.testing.assert_allclose(found.fine.region_currents[k], flow.region_currents, atol=1e-3 * scale)
        here = answers(found.solution_at(float(f)))
        assert here.circuits["feed"].resistance == pytest.approx(float(found.fine.resistance(problem.circuits[0])[k]))
        assert here.power_balance < 1e-3
    feed, slow = problem.circuits[0], SolvedFlow.of(problem, solve_fields(d, 0.1, lifted=False))
    assert found.solution_at(0.0).fine.inductance(feed) == pytest.approx(slow.inductance(feed), rel=1e-6)
    assert found.fine.inductance(feed)[0] == pytest.approx(slow.inductance(feed), rel=1e-6)


@pytest.mark.parametrize("section", [four_bars, steel_wall])
def test_bars_cover_a_finer_solve(section: Callable[[], Problem]) -> None:
    problem, frequency = section(), [50.0, 3e5]
    found = sweep(problem, frequency)
    for k, f in enumerate(frequency):
        fine = solve(problem, f, accuracy=1e-5)
        circuit = problem.circuits[0]
        exact = (fine.fine.circuit(circuit) / circuit.current).real
        assert abs(found.fine.resistance(circuit)[k] / exact - 1) <= found.circuit_errors(circuit)[0][k] + 2e-5
        assert (np.abs(found.fine.losses[k] - fine.fine.powers.real) <= found.power_errors[k] + fine.power_errors).all()
        inductance = fine.fine.inductance(circuit)
        assert abs(found.fine.inductance(circuit)[k] / inductance - 1) <= found.circuit_errors(circuit)[1][k] + 2e-5
        apart = np.hypot(*(found.fine.force[k] - fine.fine.force).T)
        assert (apart <= found.force_errors[k] + fine.force_errors).all()


def test_crossing_zero_is_no_reason_to_refine() -> None:
    """Outer phases in a row pass power to each other: one terminal resistance changes its sign on the way."""
    found = sweep(three_phases(), [float(f) for f in np.geomspace(10, 1e5, 400)])
    resistance = found.fine.resistance(found.problem.circuits[2])
    assert resistance.min() < 0 < resistance.max()
    assert not found.warnings
    assert found.refinements <= 3


def test_vectors_that_are_alike_count_once() -> None:
    """Seven vectors that span six dimensions: the eigenvalues are those of the six."""
    random = np.random.default_rng(5)
    basis = random.normal(size=(6, 6))
    basis = np.column_stack((basis, basis @ random.normal(size=6)))
    rates = np.geomspace(1, 100, 6)
    found = split(np.eye(1), np.zeros((1, 7)), basis.T @ np.diag(rates) @ basis, basis.T @ basis)
    np.testing.assert_allclose(found[1] * MU0, rates, rtol=1e-9)
    assert found[3].shape == (7, 6)


def test_the_slowest_rates_keep_their_digits() -> None:
    """A graded matrix, its eigenvalues with 50 digits: the usual way leaves the slowest the fastest's rounding."""
    grade = 10.0 ** np.random.default_rng(2).permutation(np.linspace(0, 5, 12))
    stiffness = grade[:, None] * (2 * np.eye(12) + 0.5 * np.eye(12, k=1) + 0.5 * np.eye(12, k=-1)) * grade
    with mpmath.workdps(50):
        exact = sorted(float(v) for v in mpmath.eigsy(mpmath.matrix(stiffness.tolist()), eigvals_only=True))
    found = split(np.eye(1), np.zeros((1, 12)), stiffness, np.eye(12))[1] * MU0
    np.testing.assert_allclose(found, exact, rtol=1e-13)
    assert abs(np.linalg.eigvalsh(stiffness)[0] / exact[0] - 1) > 1e-11


def test_transposed_strands_cost_one_drive() -> None:
    wires = tuple(rod(f"w{k}", 0.001, 0.0013 * (k % 4), 0.0013 * (k // 4)) for k in range(12))
    feed = Circuit("feed", 12.0, tuple(w.name for w in wires), sharing="equal")
    problem = Problem(wires, (feed,))
    found = sweep(problem, [1e3, 1e5])
    assert found.fine.model.ports.pattern.shape == (12, 1)
    d = found.fine.model.discretisation
    for k, f in enumerate((1e3, 1e5)):
        flow = SolvedFlow.of(problem, solve_fields(d, f, lifted=True))
        np.testing.assert_allclose(found.fine.currents[k], flow.currents, rtol=1e-12)
        np.testing.assert_allclose(found.fine.circuit(feed)[k], flow.circuit(feed), rtol=1e-6)
        assert (np.abs(found.fine.losses[k] - flow.powers.real) <= found.power_errors[k]).all()


def test_conductivity_is_free() -> None:
    warm = reduced(facing_bars, matrix=False).foster.with_conductivity(0.8)
    problem, d = discretised(facing_bars)
    other = Discretisation(d.mesh, tuple(RegionMetal(0.8 * m.conductivity) for m in d.metals), d.order)
    for f in (500.0, 2e5):
        flow = SolvedFlow.of(problem, solve_fields(other, f, lifted=True))
        assert warm.impedance(f)[0, 0, 0] == pytest.approx(flow.circuit(problem.circuits[0]), rel=1e-6)


def test_what_cannot_be_swept_says_so() -> None:
    one = rod("wire", 0.01)
    rough = Conductor(one.part, one.material, roughness=1e-6)
    feed = (Circuit("i", 1.0, ("wire",)),)
    with pytest.raises(SweepError, match=r'"wire" is rough.*set its roughness to 0'):
        sweep(Problem((rough,), feed), [50.0, 1e3])
    for wrong in ([0.0], [-1.0, 5.0], [float("nan"), 5.0], []):
        with pytest.raises(SweepError, match="at least one positive"):
            sweep(Problem((one,), feed), wrong)


def test_bars_past_the_wanted_bound_warn_wherever_they_are() -> None:
    """Asked for beyond the band the mesh was made for, and where the refinement had to stop."""
    rods = pair(rod("out", 0.01, 0.0), rod("back", 0.01, 0.02))
    found = sweep(rods, [50.0, 5e3])
    assert not found.warnings
    assert not found.solution(1).warnings
    beyond = found.solution_at(50e6)
    assert beyond.bound > found.wanted
    (warning,) = beyond.warnings
    assert "was not reached" in warning.text
    assert "5e+07 Hz" in warning.text
    stopped = sweep(rods, [50.0, 5e3], accuracy=1e-9, largest=3000)
    assert stopped.bounds.max() > 1e-9
    assert len(stopped.warnings) == 1
