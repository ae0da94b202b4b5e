"""Error bars from two orders, by hand."""

import numpy as np
import pytest

from crosscurrent.solver.field.bars import FLOOR, circuit_bars, power_bars, relative_bars, worst_loss


def test_a_bar_is_its_own_change_and_its_part_of_the_changes_elsewhere() -> None:
    powers, before = np.array([[30.0 + 4j, 10.0]]), np.array([[30.0 + 1j, 6.0]])
    bars = power_bars(powers, before, 2.0)
    elsewhere = (6.0 + 8.0) / (abs(30 + 4j) + 10.0)
    np.testing.assert_allclose(bars, [[6.0 + (elsewhere + FLOOR) * 30.0, 8.0 + (elsewhere + FLOOR) * 10.0]])


def test_where_next_to_no_field_comes_a_bar_is_no_less_than_the_floor_squared() -> None:
    """Deep inside a shield 1e-15 of all loss arises, whose two orders agree better than they can know it."""
    powers = np.array([[2.0, 2e-15]])
    bars = power_bars(powers, powers * np.array([[1.0, 1.0001]]), 1.0)
    assert bars[0, 1] > FLOOR**2 * 2.0
    assert bars[0, 0] == pytest.approx(FLOOR * 2.0, rel=1e-6)


def test_what_corners_hide_counts_where_a_loss_did_not_change() -> None:
    powers = np.array([[30.0, 10.0]])
    bars = power_bars(powers, powers, 1.0, 1e-3)
    np.testing.assert_allclose(bars, [[0.03 + (1e-3 + FLOOR) * 30.0, 0.01 + (1e-3 + FLOOR) * 10.0]])


def test_frequencies_do_not_mix() -> None:
    powers = np.array([[3.0 + 1j, 1.0], [7.0, 2.0 + 5j], [0.0, 0.0]])
    before = powers * 0.9
    each = [power_bars(powers[k : k + 1], before[k : k + 1], 1.5) for k in range(3)]
    np.testing.assert_array_equal(power_bars(powers, before, 1.5), np.concatenate(each))
    assert (each[2] == 0).all()


def test_losses_that_do_not_matter_are_not_judged() -> None:
    errors, losses = np.array([[1.0, 1.0, 0.0]]), np.array([[1000.0, 0.5, 0.0]])
    assert worst_loss(errors, losses).tolist() == [0.001]
    assert relative_bars(errors, losses).tolist() == [[0.001, 2.0, 0.0]]


def test_at_rest_no_energy_counts_for_the_inductance() -> None:
    one = np.ones(2)
    resistance, inductance = circuit_bars((one, one), (one, one), 1.0, 0.1 * one, 0.2 * one, np.array([0.0, 2.0]))
    assert resistance.tolist() == [0.1, 0.1]
    assert inductance == pytest.approx([0.0, 0.15])
