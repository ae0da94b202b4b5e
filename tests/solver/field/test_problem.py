"""Conductors, circuits and the section they make."""

import pickle
from dataclasses import replace

import pytest
from common import COPPER, conductor, metal, pair, rod

from crosscurrent.geometries.errors import GeometryError
from crosscurrent.geometries.plane import shapes
from crosscurrent.solver.field.problem import Circuit, Problem

STEEL, NICKEL = metal(6.99e6, 200), metal(14e6, 100)
LOOP = pair(rod("go", 0.01), rod("back", 0.01, 0.03), 10.0)


def test_metals_come_base_first_and_coats_from_inside() -> None:
    plated = conductor("bar", shapes.round_bar(0.01), coats=((NICKEL, 5e-6), (COPPER, 1e-5)))
    assert plated.metals == (COPPER, NICKEL, COPPER)
    assert plated.name == "bar"


def test_one_magnetic_coat_makes_a_conductor_magnetic() -> None:
    assert not rod("a", 0.01).is_magnetic
    assert rod("a", 0.01, material=STEEL).is_magnetic
    assert conductor("a", shapes.round_bar(0.01), coats=((NICKEL, 5e-6),)).is_magnetic


def test_members_of_a_circuit_go_out_first() -> None:
    circuit = Circuit("feed", 1.0, ("c", "a"), ("b",))
    assert circuit.members == ("c", "a", "b")
    assert circuit.sharing == "free"


def test_live_conductors_are_those_of_the_circuits() -> None:
    shielded = Problem((*LOOP.conductors, rod("screen", 0.005, 0.0, 0.05)), LOOP.circuits)
    assert shielded.names == ("go", "back", "screen")
    assert shielded.live == {"go", "back"}
    assert repr(shielded) == "<Problem: conductors go, back, screen; circuits loop>"


def test_equal_after_pickle_and_only_then() -> None:
    assert pickle.loads(pickle.dumps(LOOP)) == LOOP
    assert replace(LOOP, roughness_model="groiss") != LOOP
    with pytest.raises(TypeError, match="unhashable"):
        hash(LOOP)


def test_the_section_is_checked() -> None:
    assert LOOP.section.parts == tuple(c.part for c in LOOP.conductors)
    with pytest.raises(GeometryError, match=r"go|back"):
        _ = pair(rod("go", 0.01), rod("back", 0.01, 0.004)).section
