"""Systems with the insides of triangles eliminated, against dense algebra on the whole matrix."""

from __future__ import annotations

import numpy as np
import pytest

from crosscurrent.geometries.meshing.mesher import mesh_section
from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.section import Section
from crosscurrent.geometries.plane.shapes import bar, round_bar
from crosscurrent.solver.elements.condensed import CondensedSystem, ElementMatrices
from crosscurrent.solver.elements.exterior import exterior, outer_block
from crosscurrent.solver.elements.factor import COLUMNS
from crosscurrent.solver.elements.operators import Elements

MESH = mesh_section(
    Section((Part("rod", round_bar(0.006)), Part("bar", bar(0.006, 0.003).placed((0.008, 0.0))))), [[np.inf], [np.inf]]
)


def system_of(order: int, *, without_first: bool = False, like: CondensedSystem | None = None) -> CondensedSystem:
    """Stiffness everywhere, with losses in the metal; all of it, or without the first conductor."""
    e = Elements(MESH, order)
    air, metal = np.flatnonzero(MESH.part < 0), e.metal
    on = MESH.part[metal] > 0 if without_first else np.ones(len(metal), dtype=bool)
    lossy = e.stiffness_blocks[metal[on]] + 1e6j * e.mass_blocks[on]
    parts = (ElementMatrices.of(e, air, e.stiffness_blocks[air]), ElementMatrices.of(e, metal[on], lossy))
    return CondensedSystem(e, parts, outer_block(e), None if like is None else like.elimination)


def whole(system: CondensedSystem) -> np.ndarray:
    """The same matrix, unknown by unknown."""
    out = exterior(system.elements).toarray().astype(complex)
    for part in system.parts:
        for dofs, block in zip(part.dofs, part.blocks, strict=True):
            out[np.ix_(dofs, dofs)] += block
    return out


@pytest.mark.parametrize("order", [1, 2, 4])
@pytest.mark.parametrize("columns", [1, COLUMNS + 2])
def test_solutions_are_those_of_the_whole_matrix(order: int, columns: int) -> None:
    system = system_of(order)
    right = np.random.default_rng(order).normal(size=(system.count, columns))
    found, wanted = system.solve(right), np.linalg.solve(whole(system), right)
    assert np.abs(found - wanted).max() < 1e-12 * np.abs(wanted).max()


def test_unknowns_of_no_triangle_are_zero_and_do_not_count() -> None:
    system = system_of(3, without_first=True)
    matrix = whole(system)
    used = np.abs(matrix).sum(axis=0) > 0
    assert 0 < used.sum() < system.count
    right = np.random.default_rng(1).normal(size=(system.count, 2))
    found = system.solve(right)
    assert not found[~used].any()
    wanted = np.linalg.solve(matrix[np.ix_(used, used)], right[used])
    assert np.abs(found[used] - wanted).max() < 1e-12 * np.abs(wanted).max()


def test_the_order_of_elimination_serves_other_orders_of_the_elements() -> None:
    first = system_of(3)
    assert sorted(first.elimination.tolist()) == list(range(len(MESH.points) + len(MESH.edges)))
    second, alone = system_of(4, like=first), system_of(4)
    right = np.random.default_rng(2).normal(size=(second.count, 1))
    assert np.abs(second.solve(right) - alone.solve(right)).max() < 1e-12 * np.abs(alone.solve(right)).max()
    assert second._factors.nnz < 1.3 * alone._factors.nnz
    assert second.elimination.tolist() == first.elimination.tolist()


@pytest.mark.parametrize(("off", "steps"), [(0.0, 1), (1e-7, 2)])
def test_another_step_is_made_only_where_the_first_leaves_something(
    off: float, steps: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    once, made = CondensedSystem._once, []

    def spoilt(self: CondensedSystem, right: np.ndarray) -> np.ndarray:
        made.append(once(self, right))
        return made[-1] * (1 + off * np.random.default_rng(len(made)).normal(size=right.shape))

    monkeypatch.setattr(CondensedSystem, "_once", spoilt)
    system = system_of(3)
    right = system.parts[1].applied(np.ones((system.count, 1))).real + 1.0
    found, wanted = system.solve(right), np.linalg.solve(whole(system), right)
    assert len(made) == steps
    assert np.abs(found - wanted).max() < 1e-12 * np.abs(wanted).max()
