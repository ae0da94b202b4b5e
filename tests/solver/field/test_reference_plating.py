"""Plated conductors against layered planar and Bessel recursions.

The planar rows are taken from a plated rod whose radius is 20,000 depths or more: its surface is flat to 5e-5.
"""

import math

import pytest
from common import MU0, alone, conductor, resistance, scaled
from plating_rows import by_depths, by_micrometres, plated_rod
from reference_rows import Outcome, judge, rows, thinned

from crosscurrent.geometries.plane import shapes
from crosscurrent.solver.field.solve import solve
from crosscurrent.solver.metals import depth

FLAT = 30_000.0


def test_free_film_by_its_formula():
    for row in rows("plating", 1, 13):
        assert math.isclose(depth.wall_factor(row.number("t/delta")), row.value, rel_tol=2e-9), row.id


def flat_surface(base, coats, frequency):
    """Resistance per square over that of the bare base, and its bar: a plated rod of very large radius."""
    deepest = max(m.skin_depth(frequency) for m, _ in [(base, 0.0), *coats])
    radius = FLAT * deepest
    total = sum(t for _, t in coats)
    rod = conductor("rod", shapes.round_bar(2 * (radius - total)), material=base, coats=coats)
    per_square = math.sqrt(math.pi * frequency * MU0 * base.permeability / base.conductivity)
    return scaled(resistance(solve(alone(rod), frequency)), 2 * math.pi * radius / per_square)


@pytest.mark.parametrize(
    ("cases", "total", "thickness"),
    [(by_depths, 98, "t/delta_plating"), *((lambda f=f: by_micrometres(f), 30, "t") for f in (1e4, 1e6, 1e8))],
    ids=["depths", "10 kHz", "1 MHz", "100 MHz"],
)
def test_flat_plating(cases, total, thickness):
    """Every row, those between too, against the layers' own recursion: tests/solver/metals/test_layers.py."""
    picked = {row.id for row in thinned([row for row, *_ in cases()], total, thickness)}
    # 9 digits are given; the bend of the surface adds something of the order depth / radius
    bent = 1 / FLAT
    judge(
        [Outcome(row, *flat_surface(*case), own_error=bent) for row, *case in cases() if row.id in picked], len(picked)
    )


def test_plated_rods():
    picked = thinned(rows("plating", 262, 297), 36, "f")
    outcomes = []
    for row in picked:
        base, diameter, coat, thickness = plated_rod(row.conditions)
        rod = conductor("rod", shapes.round_bar(diameter), material=base, coats=[(coat, thickness)])
        outcomes.append(Outcome(row, *resistance(solve(alone(rod), row.number("f")))))
    judge(outcomes, len(picked))
