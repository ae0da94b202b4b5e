"""The circuit law by hand."""

import numpy as np
import pytest

from crosscurrent.solver.field.circuits import Connections, circuit_voltage, currents_and_voltages, terminal_weights
from crosscurrent.solver.field.problem import Bound, Circuit, CircuitError

TWO = np.array([[2.0 + 1j, 0.5j], [0.5j, 1.0 + 2j]])


def test_two_in_parallel_share_as_their_impedances_say() -> None:
    """I1 / I2 = (Z22 - Z12) / (Z11 - Z12), and both have one voltage."""
    currents, voltages = currents_and_voltages(TWO, ["a", "b"], [Circuit("feed", 3.0, ("a", "b"))])
    assert currents.sum() == pytest.approx(3.0)
    assert currents[0] / currents[1] == pytest.approx((1.0 + 1.5j) / (2.0 + 0.5j))
    assert voltages[0] == pytest.approx(voltages[1])


def test_transposed_ones_carry_equal_currents() -> None:
    currents, voltages = currents_and_voltages(TWO, ["a", "b"], [Circuit("feed", 3.0, ("a", "b"), sharing="equal")])
    assert currents.tolist() == [1.5, 1.5]
    np.testing.assert_allclose(voltages, TWO @ [1.5, 1.5])


def test_out_and_back_carry_the_same_and_an_idle_one_nothing() -> None:
    three = np.diag([1.0, 2.0, 3.0]) + 0.1j
    currents, voltages = currents_and_voltages(three, ["a", "b", "wall"], [Circuit("feed", 2 - 1j, ("a",), ("b",))])
    assert currents.tolist() == [2 - 1j, -2 + 1j, 0]
    circuit = Circuit("feed", 2 - 1j, ("a",), ("b",))
    assert circuit_voltage(circuit, ["a", "b", "wall"], voltages) == pytest.approx(3.0 * (2 - 1j))


def test_many_frequencies_are_shared_as_each_alone() -> None:
    joined = Connections.of(["a", "b"], [Circuit("feed", 3.0, ("a", "b"))])
    both = joined.shared(np.array([TWO, TWO.conj()]))
    np.testing.assert_allclose(both[0], joined.shared(TWO[None])[0])
    np.testing.assert_allclose(both[1], joined.shared(TWO.conj()[None])[0])


def test_patterns_times_currents_are_the_group_currents() -> None:
    circuits = [Circuit("one", 3.0, ("a", "b"), ("c",)), Circuit("two", 1j, ("d",), ("c2", "c3"), sharing="equal")]
    joined = Connections.of(["a", "b", "c", "d", "c2", "c3", "idle"], circuits)
    np.testing.assert_allclose(joined.pattern @ [c.current for c in circuits], joined.group_currents)
    assert joined.member.sum(axis=1).tolist() == [1.0] * 7


STAR = [Circuit("one", 3.0, ("a",), ("n",)), Circuit("two", 1j, ("b",), ("n",))]


def test_a_shared_return_carries_the_sum() -> None:
    z = np.diag([1.0, 2.0, 5.0]) + 0.1j
    currents, voltages = currents_and_voltages(z, ["a", "b", "n"], STAR)
    assert currents.tolist() == [3.0, 1j, -3.0 - 1j]
    np.testing.assert_allclose(voltages, z @ currents)


def test_terminal_impedances_are_those_of_loops_by_hand() -> None:
    """Two loops over one return: Z_ij - Z_in - Z_nj + Z_nn."""
    half = np.random.default_rng(1).normal(size=(3, 3)) + 1j * np.random.default_rng(2).normal(size=(3, 3))
    z = half + half.T
    wanted = [[z[i, j] - z[i, 2] - z[2, j] + z[2, 2] for j in range(2)] for i in range(2)]
    np.testing.assert_allclose(Connections.of(["a", "b", "n"], STAR).terminal(z[None])[0], wanted)


def test_a_return_through_wire_and_chassis_shares_as_any_parallel_ones() -> None:
    """Without mutual impedance the currents are as the admittances."""
    lines = [Circuit(name, current, (name,), ("n", "chassis")) for name, current in (("a", 5.0), ("b", 4.0))]
    currents, _ = currents_and_voltages(np.diag([1.0, 1.0, 2.0, 1.0]) + 0j, ["a", "b", "n", "chassis"], lines)
    np.testing.assert_allclose(currents, [5, 4, -3, -6])


@pytest.mark.parametrize(
    ("other", "found"),
    [
        (Circuit("two", 1.0, ("b",), ("n", "m")), "n alone in back of \"one\", but n joined with m here"),
        (Circuit("two", 1.0, ("n", "b"), ("m",)), "n alone in back of \"one\", but n joined with b here"),
    ],
)
def test_sides_that_overlap_without_being_the_same_are_refused(other: Circuit, found: str) -> None:
    with pytest.raises(CircuitError, match=found):
        Connections.of(["a", "b", "n", "m"], [STAR[0], other])


def test_weights_are_the_terminal_voltage() -> None:
    circuit, names = Circuit("feed", 1.0, ("a", "b"), ("c",)), ["a", "b", "c", "d"]
    voltages = np.array([1 + 2j, 3.0, -5j, 7.0])
    assert voltages @ terminal_weights(circuit, names) == pytest.approx(circuit_voltage(circuit, names, voltages))


def test_an_unknown_conductor_is_refused() -> None:
    with pytest.raises(KeyError, match="lost"):
        Connections.of(["a"], [Circuit("feed", 1.0, ("lost",))])


TWIST = Bound("lead", ("a", "b"), "transposed", (0, 1))


def test_a_transposed_bundle_shares_with_a_bar_by_the_mean_of_its_strands() -> None:
    """By hand: both strands half of I, (v_a + v_b) / 2 = v_bar."""
    z = np.array([[3.0, 1.0, 0.5], [1.0, 2.0, 0.25], [0.5, 0.25, 4.0]]) + 0j
    currents, voltages = currents_and_voltages(z, ["a", "b", "bar"], [Circuit("feed", 1.0, ("a", "b", "bar"))], [TWIST])
    assert currents[0] == pytest.approx(currents[1])
    assert currents.sum() == pytest.approx(1.0)
    assert (voltages[0] + voltages[1]) / 2 == pytest.approx(voltages[2])


def test_a_bundle_alone_in_its_side_needs_no_threads_of_several() -> None:
    z = np.diag([1.0, 3.0]) + 0j
    found = {}
    for lay in ("transposed", "straight", "concentric"):
        bound = Bound("lead", ("a", "b"), lay, (0, 1))
        joined = Connections.of(["a", "b"], [Circuit("feed", 4.0, ("a", "b"))], [bound])
        assert joined.plain
        found[lay] = joined.shared(z[None])[0].real.round(12).tolist()
    assert found == {"transposed": [2.0, 2.0], "straight": [3.0, 1.0], "concentric": [3.0, 1.0]}


def test_rings_share_evenly_within_and_as_their_ways_say_between() -> None:
    z = np.diag([1.0, 2.0, 4.0]) + 0j
    bound = Bound("lead", ("m", "r1", "r2"), "concentric", (0, 1, 1))
    joined = Connections.of(["m", "r1", "r2"], [Circuit("feed", 1.0, ("m", "r1", "r2"))], [bound])
    assert not joined.plain
    currents = joined.shared(z[None])[0]
    assert currents[1] == pytest.approx(currents[2])
    assert currents[0] == pytest.approx((2 * currents[1] + 4 * currents[2]) / 2)  # the mean voltage of the ring
    assert joined.terminal(z[None])[0, 0, 0] == pytest.approx(currents[0])


def test_equal_sharing_counts_a_bundle_as_one() -> None:
    circuit = Circuit("feed", 4.0, ("a", "b", "bar"), sharing="equal")
    currents, _ = currents_and_voltages(np.eye(3) + 0j, ["a", "b", "bar"], [circuit], [TWIST])
    assert currents.real.tolist() == [1.0, 1.0, 2.0]
