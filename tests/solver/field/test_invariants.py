"""What must hold for every section: power balance, symmetry, passivity, superposition, limits, forces."""

import cmath
import math
from functools import cache
from itertools import pairwise

import numpy as np
import pytest
from common import (
    MU0,
    SIGMA,
    alone,
    bar,
    conductor,
    driven,
    first_harmonic,
    inductance,
    metal,
    pair,
    resistance,
    return_radius,
    rod,
)
from invariants import check_power_and_impedance
from scipy.special import ive

from crosscurrent.geometries.meshing.mesher import mesh_section
from crosscurrent.geometries.meshing.options import MeshOptions
from crosscurrent.geometries.meshing.shape_functions import quadrature
from crosscurrent.geometries.plane import shapes
from crosscurrent.geometries.plane.part import Part
from crosscurrent.solver.field import discretisation as field
from crosscurrent.solver.field.discretisation import Discretisation, RegionMetal
from crosscurrent.solver.field.problem import Circuit, Conductor, Problem
from crosscurrent.solver.field.solve import solve
from crosscurrent.solver.field.solved_flow import SolvedFlow
from crosscurrent.solver.field.unit_fields import solve_fields

MM = 1e-3


def angle_and_tube():
    """An L, a tube and a steel rod in no circuit: nothing about it is symmetric."""
    return Problem(
        (
            conductor("angle", shapes.angle(20 * MM, 15 * MM, 3 * MM, 0.4 * MM)),
            conductor("tube", shapes.tube(12 * MM, 1 * MM), (22 * MM, 4 * MM), metal(35e6)),
            rod("idle", 5 * MM, 2 * MM, 16 * MM, metal(6e6, 50.0)),
        ),
        (Circuit("feed", 10.0 * cmath.exp(0.3j), ("angle",), ("tube",)),),
    )


def plated_channel():
    """A plated channel around a bar of equal current the other way."""
    coats = [(metal(14.3e6, 100.0), 5e-6), (metal(63e6), 8e-6)]
    shell = conductor("channel", shapes.channel(30 * MM, 20 * MM, 3 * MM, 1 * MM), coats=coats)
    return pair(shell, bar("bar", 15 * MM, 5 * MM, 0.0, 4 * MM))


def shared_bars():
    """Two bars out in parallel, two back."""
    bars = tuple(bar(f"b{k}", 30 * MM, 4 * MM, 0.0, 7 * MM * k) for k in range(4))
    return Problem(bars, (Circuit("feed", 1.0, ("b0", "b3"), ("b1", "b2")),))


SECTIONS = {"angle": angle_and_tube, "plated": plated_channel, "shared": shared_bars}
FREQUENCIES = (0.0, 50.0, 20e3, 5e6)


@cache
def solved(name, frequency):
    """Several tests ask for the same."""
    return solve(SECTIONS[name](), frequency)


@pytest.mark.parametrize("name", SECTIONS)
@pytest.mark.parametrize("frequency", FREQUENCIES)
def test_power_balance_symmetry_passivity(name, frequency):
    solution = solved(name, frequency)
    check_power_and_impedance(solution.fine)
    check_power_and_impedance(solution.coarse)


def placed(problem, move, turn):
    """The whole section turned about the origin, then moved."""
    parts = [Part(c.name, c.part.shape.placed(move, turn), c.part.coats) for c in problem.conductors]
    pairs = zip(parts, problem.conductors, strict=True)
    return Problem(tuple(Conductor(p, c.material, c.temperature, c.coats) for p, c in pairs), problem.circuits)


@pytest.mark.parametrize("name", SECTIONS)
def test_turning_and_moving_change_nothing(name):
    here = solved(name, 20e3)
    there = solve(placed(SECTIONS[name](), (0.3, -0.7), 0.61), 20e3)
    moved = np.abs(here.fine.powers.real - there.fine.powers.real)
    assert (moved <= here.power_errors + there.power_errors).all()
    circuit = here.problem.circuits[0]
    first, second = here.fine.inductance(circuit), there.fine.inductance(circuit)
    width = here.circuit_errors(circuit)[1] * first + there.circuit_errors(circuit)[1] * second
    assert abs(first - second) <= width


def test_direction_of_a_circuit_is_a_sign():
    there = solved("angle", 20e3)
    back = driven(there, Circuit("feed", there.problem.circuits[0].current, ("tube",), ("angle",)))
    assert np.allclose(there.fine.powers, back.fine.powers, rtol=1e-12)
    assert np.allclose(there.fine.currents, -back.fine.currents, rtol=1e-12)


def test_superposition():
    bars = shared_bars().conductors
    one, two = Circuit("one", 2.0, ("b0",), ("b1",)), Circuit("two", 1.5j, ("b2",), ("b3",))
    both = solve(Problem(bars, (one, two)), 5e3).fine
    apart = [SolvedFlow.of(Problem(bars, (c,)), both.fields) for c in (one, two)]
    added = apart[0].electric + apart[1].electric
    assert np.abs(both.electric - added).max() < 1e-12 * np.abs(both.electric).max()
    assert np.allclose(both.voltages, apart[0].voltages + apart[1].voltages, rtol=1e-12)


def test_order_of_conductors_does_not_matter():
    here = solved("angle", 20e3)
    there = solve(Problem(here.problem.conductors[::-1], here.problem.circuits), 20e3)
    for k in range(3):
        width = here.power_errors[k] + there.power_errors[2 - k]
        assert abs(here.fine.powers[k] - there.fine.powers[2 - k]) <= width + 1e-9 * abs(here.fine.powers[k])


@pytest.mark.parametrize("name", SECTIONS)
def test_slow_current_nears_direct_current(name):
    still, slow = solved(name, 0.0), solve(SECTIONS[name](), 1e-4)
    for c in still.problem.circuits:
        assert math.isclose(resistance(still)[0], resistance(slow)[0], rel_tol=1e-9)
        width = still.circuit_errors(c)[1] + slow.circuit_errors(c)[1]
        assert math.isclose(still.fine.inductance(c), slow.fine.inductance(c), rel_tol=width)
    assert np.allclose(still.fine.currents, slow.fine.currents, atol=1e-6 * abs(still.fine.currents).max())


def test_plain_and_lifted_form_agree():
    problem = angle_and_tube()
    for frequency in (200.0, 5e3, 50e3):
        skins = [[c.material.skin_depth(frequency)] for c in problem.conductors]
        mesh = mesh_section(problem.section, skins)
        metals = tuple(RegionMetal(c.material.conductivity, c.material.permeability) for c in problem.conductors)
        d = Discretisation(mesh, metals, 4)
        plain, lifted = (solve_fields(d, frequency, lifted=form).impedance for form in (False, True))
        assert np.abs(plain - lifted).max() < 1e-8 * np.abs(plain).max()


def test_no_jump_where_the_form_changes():
    problem = alone(rod("wire", 2 * MM))
    edge = (field.LIFTED / MM) ** 2 / (math.pi * MU0 * SIGMA)
    below, above = solve(problem, edge * (1 - 1e-9)), solve(problem, edge * (1 + 1e-9))
    assert math.isclose(resistance(below)[0], resistance(above)[0], rel_tol=2e-8)


def errors_by(change):
    """Errors of the resistance of a wire, radius / depth 3, as order or mesh grows."""
    z = (1 + 1j) * 3
    exact = (z / 2 * ive(0, z) / ive(1, z)).real / (SIGMA * math.pi * MM**2)
    depth = MM / 3
    frequency = 1 / (math.pi * MU0 * SIGMA * depth**2)
    problem = alone(rod("wire", 2 * MM))
    for order, options in change:
        mesh = mesh_section(problem.section, [[depth]], options)
        fields = solve_fields(Discretisation(mesh, (RegionMetal(SIGMA),), order), frequency, lifted=True)
        yield abs(fields.impedance[0, 0].real / exact - 1)


def test_convergence_with_the_order():
    errors = list(errors_by((order, MeshOptions()) for order in (1, 2, 3, 4)))
    assert errors[0] < 0.2
    for coarse, fine in pairwise(errors):
        assert fine < 0.15 * coarse


def test_convergence_with_the_mesh():
    """A functional of the solution of order p converges as h^(2p)."""
    for order in (1, 2):
        choices = [MeshOptions(first=0.4 / k, growth=1.0001, arc=0.25 / k, slope=0.5 / k) for k in (1, 2)]
        coarse, fine = errors_by((order, options) for options in choices)
        assert fine < 1.5 * 0.5 ** (2 * order) * coarse


@pytest.mark.parametrize("name", SECTIONS)
@pytest.mark.parametrize("frequency", [50.0, 20e3])
def test_forces_sum_to_zero(name, frequency):
    force = solve(SECTIONS[name](), frequency, accuracy=1e-4).fine.force
    assert np.abs(force.sum(axis=0)).max() < 2e-3 * np.abs(force).max()


def lorentz(flow):
    """Time average of the integral of J x B over every conductor [N/m]."""
    d = flow.discretisation
    metal_rows = d.elements.metal
    places, weights = quadrature(2 * d.order + 4)
    determinant, _ = d.elements.maps(metal_rows, places)
    density = d.sigma[:, None] * d.elements.value(flow.electric, metal_rows, places)
    gradient = d.elements.gradient(flow.potential, metal_rows, places)
    # B = (dA/dy, -dA/dx), so J z x B = J grad A
    force = np.einsum("tp,tp,tpd->td", determinant * weights, density.conj(), gradient).real
    part = d.mesh.part[metal_rows]
    return np.array([force[part == k].sum(axis=0) for k in range(part.max() + 1)])


@pytest.mark.parametrize("frequency", [50.0, 5e3, 500e3])
def test_force_is_that_on_the_currents(frequency):
    problem = Problem(
        (
            conductor("angle", shapes.angle(20 * MM, 15 * MM, 3 * MM, 0.4 * MM)),
            conductor("tube", shapes.tube(12 * MM, 1 * MM), (18 * MM, 4 * MM), metal(35e6)),
            rod("idle", 5 * MM, 2 * MM, 12 * MM),
        ),
        (Circuit("feed", 10.0, ("angle",), ("tube",)),),
    )
    flow = solve(problem, frequency, accuracy=1e-4).fine
    assert np.abs(flow.force - lorentz(flow)).max() < 2e-3 * np.abs(flow.force).max()


@pytest.mark.parametrize("permeability", [10.0, 200.0, 5000.0])
@pytest.mark.parametrize("frequency", [5.0, 50.0, 10e3])
def test_steel_rod(permeability, frequency):
    """Wire of a magnetic metal: the Bessel formula with its permeability (Kelvin 1889)."""
    steel = metal(6e6, permeability)
    radius = 8 * MM
    solution = solve(alone(rod("rod", 2 * radius, material=steel)), frequency)
    z = (1 + 1j) * radius / steel.skin_depth(frequency)
    exact = z / 2 * ive(0, z) / ive(1, z) / (6e6 * math.pi * radius**2)
    value, width = resistance(solution)
    assert math.isclose(value, exact.real, rel_tol=1e-5)
    assert abs(value - exact.real) <= width
    outside = MU0 / (2 * math.pi) * math.log(return_radius(solution) / radius)
    inside = inductance(solution)[0] - outside
    assert math.isclose(inside, exact.imag / (2 * math.pi * frequency), rel_tol=1e-4)


@pytest.mark.parametrize("permeability", [50.0, 5000.0])
def test_magnetic_tube_around_a_wire(permeability):
    """A tube in no circuit around a wire: the inductance rises by mu0 (mu_r - 1) / 2 pi ln(b / a), at rest exactly."""
    tube = conductor("tube", shapes.tube(24 * MM, 2 * MM), material=metal(6e6, permeability))
    problem = Problem((rod("wire", 6 * MM), tube), (Circuit("out", 1.0, ("wire",)),))
    flow = solve(problem, 0.0).fine
    bare = SolvedFlow.of(alone(rod("wire", 6 * MM)), solve(alone(rod("wire", 6 * MM)), 0.0).fine.fields)
    # each is counted to its own return radius
    apart = math.log(flow.discretisation.mesh.radius / bare.discretisation.mesh.radius)
    more = flow.inductance(problem.circuits[0]) - bare.inductance(problem.circuits[0]) - MU0 / (2 * math.pi) * apart
    assert math.isclose(more, MU0 * (permeability - 1) / (2 * math.pi) * math.log(12 / 10), rel_tol=1e-6)


@pytest.mark.parametrize("permeability", [2.0, 300.0, 5000.0])
def test_magnetic_rod_beside_a_wire(permeability):
    """At rest the rod acts as an image current k I at R^2 / D and -k I on its axis, k = (mu_r - 1)/(mu_r + 1)."""
    radius, distance = 5 * MM, 12 * MM
    problem = Problem(
        (rod("wire", 4 * MM, distance), rod("rod", 2 * radius, material=metal(6e6, permeability))),
        (Circuit("out", 1.0, ("wire",)),),
    )
    mesh = mesh_section(problem.section, [[math.inf]] * 2, MeshOptions().finer(1))
    metals = (RegionMetal(SIGMA), RegionMetal(6e6, permeability))
    flow = SolvedFlow.of(problem, solve_fields(Discretisation(mesh, metals, 6), 0.0, lifted=False))
    k = (permeability - 1) / (permeability + 1)
    image = distance - radius**2 / distance
    pull = -MU0 * k / (2 * math.pi) * (1 / image - 1 / distance)
    assert math.isclose(flow.force[0, 0], pull, rel_tol=1e-4)
    assert math.isclose(flow.force[1, 0], -pull, rel_tol=1e-3)
    # the images' potential is harmonic over the wire: its mean there is its value on the wire's axis
    own = MU0 / (2 * math.pi) * (math.log(math.e * mesh.radius / (2 * MM)) + 0.25 + k * math.log(distance / image))
    assert math.isclose(flow.fields.inductance_at_rest[0, 0], own, rel_tol=1e-6)


@pytest.mark.parametrize("permeability", [3.0, 5000.0])
def test_magnetic_rod_in_a_transverse_field(permeability):
    """At rest the field inside is uniform, 2 mu_r / (mu_r + 1) times the first harmonic of the field applied."""
    radius, far = 5 * MM, 60 * MM
    problem = Problem(
        (
            rod("rod", 2 * radius, material=metal(6e6, permeability)),
            rod("east", radius, far),
            rod("west", radius, -far),
        ),
        (Circuit("pair", 1.0, ("east",), ("west",)),),
    )
    mesh = mesh_section(problem.section, [[math.inf]] * 3, MeshOptions().finer(1))
    metals = (RegionMetal(6e6, permeability), RegionMetal(SIGMA), RegionMetal(SIGMA))
    flow = SolvedFlow.of(problem, solve_fields(Discretisation(mesh, metals, 6), 0.0, lifted=False))
    applied = MU0 / (math.pi * far)  # of two uniform wires, wherever their size: exact
    inside = first_harmonic(flow, radius).real / radius
    assert math.isclose(inside / applied, 2 * permeability / (permeability + 1), rel_tol=1e-5)


def test_inductance_at_rest_is_the_limit_for_unequal_parallel_metals():
    """Free parallel conductors of two metals: L at 0 Hz equals X / w at a frequency far below the first skin effect."""
    metals = (metal(58e6), metal(15.9e6))
    stack = [
        Conductor(Part(f"b{k}", shapes.bar(60 * MM, 6 * MM).placed((0, 9 * k * MM))), metals[k % 2]) for k in range(4)
    ]
    feed = Circuit("feed", 100.0, ("b0", "b1"), ("b2", "b3"))
    rest, slow = (solve(Problem(tuple(stack), (feed,)), f, accuracy=1e-5).fine.inductance(feed) for f in (0.0, 0.01))
    assert abs(rest / slow - 1) < 1e-6
