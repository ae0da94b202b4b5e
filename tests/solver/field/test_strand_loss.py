"""The parts of a bundle's loss against the law of squared fields, which holds for strands thin against their skin.

A round strand of diameter d in a field B across it loses pi w^2 B^2 sigma d^4 / 64 (rms; C. R. Sullivan, IEEE Trans.
Power Electronics 14, 283, 1999, from memory), B being mu0 I r / (2 pi R^2) within a round bundle, mu0 I / (2 pi D) far.
"""

from __future__ import annotations

import math

import pytest

from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.shapes import round_bar
from crosscurrent.solver.field.problem import Bound, Circuit, Conductor, Problem
from crosscurrent.solver.field.solve import solve
from crosscurrent.solver.field.strand_loss import strand_loss
from crosscurrent.solver.metals.depth import MU0
from crosscurrent.solver.metals.materials import Material
from crosscurrent.solver.metals.strand_layout import strand_places
from crosscurrent.solver.metals.strands import Strands

COPPER, FREQUENCY, AWAY = Material("copper", 58e6), 20e3, 0.1
RETURN = Conductor(Part("back", round_bar(2e-3).placed((AWAY, 0.0))), COPPER)


def _lost(diameter: float, flux: float) -> float:
    """By one strand in a field [W/m]."""
    return math.pi * (2 * math.pi * FREQUENCY * flux) ** 2 * 58e6 * diameter**4 / 64


def test_a_medium_loses_by_its_own_field_and_by_that_of_another_as_squared_fields_say() -> None:
    count, diameter, radius = 200, 0.1e-3, 1.5e-3
    lead = Conductor(Part("lead", round_bar(2 * radius)), COPPER, strands=Strands(count, diameter))
    problem = Problem((lead, RETURN), (Circuit("feed", 10.0, ("lead",), ("back",)),))
    found = solve(problem, FREQUENCY, accuracy=1e-6)
    parts = strand_loss(found, [0])
    own = MU0 * 10.0 / (2 * math.pi * radius)
    assert parts.inside == pytest.approx(count * (1 - 1 / count) * _lost(diameter, own) / 2, rel=5e-3)
    assert parts.outside == pytest.approx(count * _lost(diameter, MU0 * 10.0 / (2 * math.pi * AWAY)), rel=1e-2)
    assert abs(parts.crossed) < 1e-4 * math.sqrt(parts.inside * parts.outside)
    assert parts.sharing == pytest.approx(0.0, abs=1e-9 * parts.skin)
    assert parts.total == pytest.approx(found.fine.powers[0].real, rel=1e-12)


def test_strands_solved_for_one_by_one_lose_alike() -> None:
    """Seven of them: the field at each is that of the other six wires."""
    count, diameter, pitch = 7, 0.2e-3, 0.6e-3
    places = strand_places(count, "hexagonal") * pitch
    names = tuple(f"lead.{k}" for k in range(1, count + 1))
    strands = tuple(
        Conductor(Part(name, round_bar(diameter).placed(xy)), COPPER) for name, xy in zip(names, places, strict=True)
    )
    bundle = Bound("lead", names, "transposed", (0,) * count)
    problem = Problem((*strands, RETURN), (Circuit("feed", 7.0, names, ("back",)),), bundles=(bundle,))
    found = strand_loss(solve(problem, FREQUENCY), list(range(count)))
    squared = 0.0
    for k, (x, y) in enumerate(places):
        others = [(x - a, y - b) for j, (a, b) in enumerate(places) if j != k]
        field = [sum(dx / (dx * dx + dy * dy) for dx, dy in others), sum(dy / (dx * dx + dy * dy) for dx, dy in others)]
        squared += _lost(diameter, MU0 * math.hypot(*field) / (2 * math.pi))
    assert found.inside == pytest.approx(squared, rel=2e-2)
    assert found.outside == pytest.approx(count * _lost(diameter, MU0 * 7.0 / (2 * math.pi * AWAY)), rel=2e-2)
    assert found.skin == pytest.approx(49.0 / (count * 58e6 * math.pi / 4 * diameter**2), rel=1e-3)


def test_straight_strands_as_a_medium_lose_in_the_field_of_one_another() -> None:
    """At half a skin depth the strands' own field adds a little, never less than nothing, and all parts add up."""
    strands = Strands(127, 2e-4, lay="straight")
    lead, other = (
        Conductor(Part(name, round_bar(3.2e-3).placed((x, 0.0))), COPPER, strands=strands)
        for name, x in (("lead", 0.0), ("back", 4e-3))
    )
    solution = solve(Problem((lead, other), (Circuit("feed", 10.0, ("lead",), ("back",)),)), 85e3)
    found = strand_loss(solution, [0])
    assert 0.01 < found.inside / found.total < 0.1
    assert min(found.sharing, found.outside) > 0
    assert found.total == pytest.approx(float(solution.fine.powers.real[0]), rel=1e-9)
