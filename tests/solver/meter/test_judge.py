"""As few causes as explain a difference."""

from __future__ import annotations

import numpy as np
import pytest

from crosscurrent.solver.meter.causes import NEIGHBOUR, STEEL, contact, leads, neighbour, scale, steel
from crosscurrent.solver.meter.fit import Differing, fitted
from crosscurrent.solver.meter.judge import Rated, ranked
from crosscurrent.solver.meter.uncertainty import Uncertainty

F = np.geomspace(1e2, 1e5, 24)
OMEGA, N = 2 * np.pi * F, len(F)
Z = 1e-2 * np.sqrt(F / F[0]) + 1j * OMEGA * 1e-6
CAUSES = (contact(1e-3, 1e-1), leads(OMEGA, 1e-7, 1e-5), scale())
NOISE = 1e-5


def given(measured, seed=5):
    drawn = np.random.default_rng(seed).normal(size=(2, N)) * NOISE
    return Differing(F, Z, measured + drawn[0] + 1j * drawn[1], np.ones(N, dtype=bool),
                     Uncertainty(np.zeros((2 * N, 2 * N)), np.full(2 * N, NOISE), np.eye(N)))  # fmt: skip


def solved(values):
    raise AssertionError("nothing of the section is in doubt")


@pytest.mark.parametrize(
    ("measured", "keys"),
    [(Z, set()), (Z + 1e-3, {"contact"}), (1.02 * Z, {"scale"}), (Z + 1e-3 + 1j * OMEGA * 5e-8, {"contact", "leads"})],
)
def test_the_fewest_causes_that_hold_come_first(measured, keys):
    found = ranked(given(measured), CAUSES, solved)
    assert found.left[0][0].fit.keys == keys
    assert found.left[0][1] > 0.95
    assert all(not (keys < one.fit.keys) for one, _ in found.left)
    assert found.tried >= 7


def test_three_are_tried_where_no_pair_holds():
    measured = 1.02 * (Z + 1e-3 + 1j * OMEGA * 5e-8)
    assert ranked(given(measured), CAUSES, solved).left[0][0].fit.keys == {"contact", "leads", "scale"}


def test_nothing_is_left_where_none_holds():
    found = ranked(given(Z * (1 + 0.02 * np.sin(4 * np.log(F)))), CAUSES, solved)
    assert found.left == ()
    assert found.others[0].worth >= found.others[-1].worth


def test_one_neighbour_is_of_one_metal():
    near = (neighbour(F, (F[0], F[-1]), 1 + 0 * Z, 1e-7, 1e-6), steel(F, (F[0], F[-1]), 1 + 0 * Z, 1e-7, 1e-6))
    found = ranked(given(Z), near, solved)
    assert all(one.fit.keys != {NEIGHBOUR, STEEL} for one in (*found.others, *(r for r, _ in found.left)))


def test_rows_that_follow_their_neighbours_do_not_hold():
    """A misfit that is small enough but is no noise: neighbours alike."""
    noisy = given(Z)
    wave = 0.9 * NOISE * (1 + 1j) * np.sign(np.sin(np.log(F)))
    quiet = Differing(F, Z, Z + wave, noisy.rows, noisy.uncertainty)
    rated = Rated.of(fitted(quiet, []), quiet)
    assert rated.chance > 0.5
    assert rated.streak > 3
