"""Fields around a shift, term by term: against solves a little beyond it."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.shapes import bar, round_bar
from crosscurrent.solver.band.band_mesh import band_mesh
from crosscurrent.solver.band.expansion import Expansion
from crosscurrent.solver.band.krylov import RationalKrylov
from crosscurrent.solver.band.passes import pencil_for
from crosscurrent.solver.band.pencil import Pencil
from crosscurrent.solver.band.ports import ports_of
from crosscurrent.solver.field.discretisation import Discretisation
from crosscurrent.solver.field.problem import Circuit, Conductor, Problem
from crosscurrent.solver.field.region_metals import smooth_metals
from crosscurrent.solver.metals.materials import MATERIALS
from crosscurrent.solver.metals.strands import Lay, Strands

HIGH, SHIFT, COPPER = 5e5, 2e6, MATERIALS["copper"]


@cache
def pencil() -> Pencil:
    """A straight bundle, a transposed one and a bar."""
    lays: tuple[tuple[str, float, Lay], ...] = (("a", -1e-3, "straight"), ("b", 1e-3, "transposed"))
    leads = [
        Conductor(Part(n, round_bar(1.5e-3).placed((x, 0.0))), COPPER, strands=Strands(120, 1e-4, lay=lay))
        for n, x, lay in lays
    ]
    plate = Conductor(Part("plate", bar(4e-3, 0.5e-3).placed((0.0, -2e-3))), COPPER)
    problem = Problem((*leads, plate), (Circuit("feed", 1.0, ("a",), ("b",)),))
    d = Discretisation(band_mesh(problem, HIGH, HIGH), smooth_metals(problem, HIGH), 2)
    return pencil_for(d, ports_of(problem), HIGH)


@pytest.mark.parametrize("shift", [SHIFT, 1j * SHIFT])
def test_terms_span_the_fields_about_the_shift(shift: complex) -> None:
    """What the potential a little beyond it leaves outside of k terms falls as that share to the power of k."""
    krylov, expansion, beyond = RationalKrylov.begun(pencil()), Expansion.around(shift, pencil()), 0.1
    count = pencil().matrices.unknowns
    exact, left = pencil().shifted(shift * (1 + beyond))(pencil().drive)[:count, 0], []
    for _ in range(8):
        krylov.follow(expansion)
        terms = krylov.vectors[:count]
        outside = exact - terms @ np.linalg.lstsq(terms, exact, rcond=None)[0]
        left.append(float(np.abs(outside).max() / np.abs(exact).max()))
    assert left[0] > 1e-3
    for number in (2, 4, 6):
        assert left[number] < 5 * beyond ** (number + 1)
    assert left[-1] < 1e-7


def test_fields_carry_no_current_however_little_of_a_term_is_new() -> None:
    """What is left of terms that look alike is all but rounding, whose means further terms would raise tenfold each."""
    krylov, expansions = RationalKrylov.begun(pencil()), [Expansion.around(w * SHIFT, pencil()) for w in (1.0, 0.1)]
    for _ in range(14):
        for expansion in expansions:
            krylov.follow(expansion)
    means = (pencil().load.T @ krylov.vectors) / np.sqrt(pencil().conductance[:, None])
    assert krylov.count == 28
    assert np.abs(means).max() < 1e-13


def test_series_followed_together_span_what_each_would() -> None:
    """With one behind the other, and one of them complex: the second has no term before."""
    alone, together = RationalKrylov.begun(pencil()), RationalKrylov.begun(pencil())
    shifts = (SHIFT, 0.1j * SHIFT)
    first, second = (Expansion.around(s, pencil()) for s in shifts)
    alone.follow(first)
    for expansion in (first, second) * 2:
        alone.follow(expansion)
    first, second = (Expansion.around(s, pencil()) for s in shifts)
    together.follow(first)
    for _ in range(2):
        together.follow(first, second)
    assert alone.count == together.count == 7
    outside = together.vectors - alone.vectors @ (alone.vectors.T @ pencil().matrices.weighed(together.vectors))
    assert np.abs(pencil().matrices.weighed(outside) * outside).sum(axis=0).max() < 1e-12
