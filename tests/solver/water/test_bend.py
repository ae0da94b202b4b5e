"""Friction in coils: Ito's relations against each other and against those of others, in a general library."""

from __future__ import annotations

import math

import pytest
from fluids.friction import helical_laminar_fd_White, helical_turbulent_fd_Mori_Nakayama, helical_turbulent_fd_Schmidt

from crosscurrent.solver.water.bend import laminar_bend, turbulent_bend
from crosscurrent.solver.water.pipe import Passage, friction


@pytest.mark.parametrize("ratio", [0.02, 0.05, 0.1])
@pytest.mark.parametrize("reynolds", [2e4, 6e4])
def test_turbulent_streams_as_others_have_measured(reynolds: float, ratio: float) -> None:
    """Mori and Nakayama 1967, Schmidt 1967; all of these scatter by some per cent."""
    found = friction(reynolds) * turbulent_bend(reynolds, ratio)
    assert found == pytest.approx(helical_turbulent_fd_Mori_Nakayama(reynolds, ratio, 1.0), rel=0.06)
    assert found == pytest.approx(helical_turbulent_fd_Schmidt(reynolds, ratio, 1.0), rel=0.06)


def test_itos_two_turbulent_relations_agree() -> None:
    """At n = 30: 30^0.05 = 1.185 times Blasius, and (0.029 + 0.304 30^-0.25) (d/D)^0.5, within 2 %."""
    reynolds, number = 2e4, 30.0
    ratio = math.sqrt(number / reynolds)
    other = (0.029 + 0.304 * number**-0.25) * math.sqrt(ratio)
    assert turbulent_bend(reynolds, ratio) == pytest.approx(1.185, abs=5e-4)
    assert 0.3164 / reynolds**0.25 * turbulent_bend(reynolds, ratio) == pytest.approx(other, rel=0.02)


@pytest.mark.parametrize(("reynolds", "ratio"), [(500.0, 0.02), (1000.0, 0.05), (2000.0, 0.1)])
def test_laminar_streams_as_whites(reynolds: float, ratio: float) -> None:
    """C. M. White, Proc. Royal Society A 123, 645, 1929; the two relations are up to 4 % apart."""
    found = 64 / reynolds * laminar_bend(reynolds, ratio)
    assert found == pytest.approx(helical_laminar_fd_White(reynolds, ratio, 1.0), rel=0.05)


def test_a_gentle_bend_is_straight() -> None:
    assert turbulent_bend(1e4, 1e-4) == 1.0
    assert laminar_bend(100.0, 1e-4) == 1.0


def test_friction_in_a_turn_grows_without_a_jump() -> None:
    turn = Passage("turn", math.pi * 4e-6, math.pi * 4e-3, 0.1, 0.0, turn=0.04)
    last = 0.0
    for k in range(400):
        reynolds = 100 * 1.02**k
        push = friction(reynolds, 3.75e-4) * turn.bend(reynolds) * reynolds**2
        assert push > last
        assert k == 0 or push < 1.08 * last
        last = push


def test_a_straight_passage_has_no_bend() -> None:
    assert Passage("run", math.pi * 4e-6, math.pi * 4e-3, 0.1, 0.0).bend(1e4) == 1.0
