"""Symmetrical components by hand, and thin wires in trefoil as the books have them."""

import cmath
import math
from dataclasses import replace

import numpy as np
import pytest
from common import MU0, SIGMA, TURN, return_radius, rod

from crosscurrent.solver.field.problem import Circuit, Problem
from crosscurrent.solver.field.sequences import are_phases, sequence_matrix, sequences_of
from crosscurrent.solver.field.solve import solve

PHASES = ("L1", "L2", "L3")


def by_hand(z):
    """A^-1 Z A written out: V_k of sequence k for currents a^-k n in phase n (C. L. Fortescue, AIEE 1918)."""
    a = cmath.exp(2j * math.pi / 3)
    forward = [[1, 1, 1], [1, a**2, a], [1, a, a**2]]
    inverse = [[1 / 3, 1 / 3, 1 / 3], [1 / 3, a / 3, a**2 / 3], [1 / 3, a**2 / 3, a / 3]]
    return [
        [sum(inverse[i][p] * z[p][q] * forward[q][k] for p in range(3) for q in range(3)) for k in range(3)]
        for i in range(3)
    ]


def lines(back=(), current=10.0):
    return tuple(Circuit(name, current * TURN**k, (name,), back) for k, name in enumerate(PHASES))


def test_the_matrix_is_that_by_hand() -> None:
    z = np.random.default_rng(3).normal(size=(3, 3)) + 1j * np.random.default_rng(4).normal(size=(3, 3))
    np.testing.assert_allclose(sequence_matrix(z), by_hand(z), rtol=1e-12)


@pytest.fixture(scope="module")
def flat():
    """Three wires in a row and a fourth as the neutral: not symmetrical."""
    places = {"L1": (0, 0), "L2": (0.02, 0), "L3": (0.04, 0), "N": (0.02, 0.015)}
    wires = tuple(rod(name, 0.01, x, y) for name, (x, y) in places.items())
    return solve(Problem(wires, lines(("N",))), 50.0)


def test_sequences_are_those_of_the_conductors_matrix_by_hand(flat) -> None:
    """The neutral takes the sum: Z_pq - Z_pN - Z_Nq + Z_NN of the matrix of all four against a far return."""
    z = flat.fine.impedance
    phases = [[z[p, q] - z[p, 3] - z[3, q] + z[3, 3] for q in range(3)] for p in range(3)]
    wanted, found = by_hand(phases), sequences_of(flat)
    assert found.zero == pytest.approx(wanted[0][0], rel=1e-9)
    assert found.positive == pytest.approx(wanted[1][1], rel=1e-9)
    assert found.negative == pytest.approx(wanted[2][2], rel=1e-9)
    apart = max(abs(wanted[i][k]) for i in range(3) for k in range(3) if i != k)
    assert found.mutual == pytest.approx(apart / abs(wanted[1][1]), rel=1e-9)
    assert 0.05 < found.mutual < 1


def test_bars_hold_against_a_finer_solve(flat) -> None:
    rough = solve(flat.problem, 50.0, accuracy=0.02)
    fine, found = sequences_of(solve(flat.problem, 50.0, accuracy=1e-6)), sequences_of(rough)
    for name in ("zero", "positive", "negative"):
        off = getattr(found, name) - getattr(fine, name)
        assert max(abs(off.real), abs(off.imag)) <= getattr(found, f"{name}_error")


def test_thin_wires_in_trefoil_are_those_of_the_books() -> None:
    """Direct current's even density: L1 = mu0 / 2 pi ln(d / r'), r' = r exp(-1/4), R1 = R; without a return
    L0 = mu0 / 2 pi ln(D^3 / (r' d^2)) with the return at D (any book on power lines; at 1 Hz the skin is 66 mm)."""
    radius, apart = 1e-3, 0.1
    corners = [cmath.rect(apart / math.sqrt(3), 0.5 + 2 * math.pi * k / 3) for k in range(3)]
    wires = tuple(rod(name, 2 * radius, c.real, c.imag) for name, c in zip(PHASES, corners, strict=True))
    solution = solve(Problem(wires, lines()), 1.0)
    found, omega = sequences_of(solution), 2 * math.pi
    inner = radius * math.exp(-0.25)
    positive = MU0 / (2 * math.pi) * math.log(apart / inner)
    zero = MU0 / (2 * math.pi) * math.log(return_radius(solution) ** 3 / (inner * apart**2))
    assert found.positive.imag / omega == pytest.approx(positive, rel=1e-4)
    assert found.negative.imag / omega == pytest.approx(positive, rel=1e-4)
    assert found.zero.imag / omega == pytest.approx(zero, rel=1e-3)
    assert found.positive.real == pytest.approx(1 / (SIGMA * math.pi * radius**2), rel=1e-4)
    assert found.mutual < 1e-5


@pytest.mark.parametrize(("frequency", "loss"), [(50.0, 5.904919485e-05), (1e3, 1.928209063e-04)])
def test_thick_rods_in_trefoil(frequency, loss) -> None:
    """20 mm rods 30 mm apart: loss of a rod at 1 A of positive sequence, series of multipoles (nwires-005, -007)."""
    corners = [cmath.rect(0.03 / math.sqrt(3), math.pi / 2 + 2 * math.pi * k / 3) for k in range(3)]
    rods = tuple(rod(name, 0.02, c.real, c.imag) for name, c in zip(PHASES, corners, strict=True))
    found = sequences_of(solve(Problem(rods, lines(current=1.0)), frequency, accuracy=1e-5))
    assert abs(found.positive.real - loss) <= found.positive_error + 1e-9 * loss
    assert found.positive.real == pytest.approx(loss, rel=1e-5)
    assert found.negative == pytest.approx(found.positive, rel=1e-7)


def test_only_the_phases_of_one_system_have_sequences() -> None:
    assert are_phases(lines())
    assert are_phases(lines(("N",)))
    alike = tuple(Circuit(name, 10.0, (name,)) for name in PHASES)
    apart = tuple(Circuit(name, 10.0 * TURN**k, (name,), (f"{name}b",)) for k, name in enumerate(PHASES))
    assert not are_phases(alike)
    assert not are_phases(apart)
    assert not are_phases(lines()[:2])


def test_coils_that_are_no_phases_have_no_sequences() -> None:
    """Round an axis: three coils of as many turns are phases, one that is shorted or has more turns is none."""
    coils = tuple(
        Circuit(name, 10.0 * TURN**k, (f"{name}a", f"{name}b"), sharing="series") for k, name in enumerate(PHASES)
    )
    assert are_phases(coils)
    assert not are_phases((*coils[:2], replace(coils[2], shorted=True)))
    assert not are_phases((*coils[:2], replace(coils[2], out=("L3a", "L3b", "L3c"))))
