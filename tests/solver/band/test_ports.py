"""Where current enters: groups with one voltage and a pattern for every circuit."""

import numpy as np
from common import rod

from crosscurrent.solver.band.ports import ports_of
from crosscurrent.solver.field.problem import Circuit, Problem

THREE = tuple(rod(name, 0.004, 0.01 * k) for k, name in enumerate("abc"))


def test_ports_by_hand() -> None:
    problem = Problem(THREE, (Circuit("feed", 5.0, ("a", "b"), ("c",)),))
    joined, each = ports_of(problem), ports_of(problem, matrix=True)
    assert joined.member.tolist() == [[1.0, 0.0], [1.0, 0.0], [0.0, 1.0]]
    assert joined.pattern.tolist() == [[1.0], [-1.0]]
    assert not joined.matrix
    assert each.matrix
    assert each.member.tolist() == each.pattern.tolist() == np.eye(3).tolist()


def test_equal_sharing_drives_each_conductor_by_itself() -> None:
    ports = ports_of(Problem(THREE, (Circuit("feed", 6.0, ("a", "b", "c"), sharing="equal"),)))
    assert ports.member.tolist() == np.eye(3).tolist()
    np.testing.assert_allclose(ports.pattern, np.full((3, 1), 1 / 3))


def test_a_conductor_in_no_circuit_is_a_group_without_current() -> None:
    ports = ports_of(Problem(THREE, (Circuit("feed", 5.0, ("a",), ("b",)),)))
    assert ports.member.sum(axis=1).tolist() == [1.0, 1.0, 1.0]
    assert (ports.member @ ports.pattern).tolist() == [[1.0], [-1.0], [0.0]]


def test_every_circuit_has_its_own_pattern() -> None:
    ports = ports_of(Problem(THREE, tuple(Circuit(name, 1.0, (name,)) for name in "abc")))
    assert (ports.member @ ports.pattern).tolist() == np.eye(3).tolist()
