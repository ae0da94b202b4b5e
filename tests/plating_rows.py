"""Plated conductors against layered planar and Bessel recursions.

The planar rows are taken from a plated rod whose radius is 20,000 depths or more: its surface is flat to 5e-5.
"""

import math
import re

import pytest
from reference_rows import Outcome, judge, rows
from reference_sections import MU0, alone, conductor, frequency_for, metal, resistance, scaled

from crosscurrent.geometries import shapes
from crosscurrent.solver import depth
from crosscurrent.solver.solve import solve

METALS = {
    "Ag": metal(62.9e6), "Cu": metal(58e6), "Au": metal(45.2e6), "Sn": metal(8.7e6), "brass": metal(15.9e6),
    "Al": metal(35.4e6), "Ni": metal(14.3e6), "Ni1": metal(14.3e6), "Ni100": metal(14.3e6, 100.0),
    "steel": metal(6e6, 100.0),
}  # fmt: skip
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


def by_depths():
    """Plating thickness in its own depths."""
    for row in rows("plating", 14, 111):
        names = re.match(r"(\w+)(\(mur=(\d+)\))? on (\w+)", row.conditions)
        coat = METALS[names[1] + (names[3] or "")]
        thickness = row.number("t/delta_plating") * 1e-3
        frequency = frequency_for(1e-3, coat.conductivity, coat.permeability)
        yield row, METALS[names[4]], [(coat, thickness)] if thickness else [], frequency


def by_micrometres(wanted):
    """Plating thickness in um at a frequency."""
    for row in rows("plating", 112, 261):
        frequency = row.number("f")
        if frequency != wanted:
            continue
        thickness = float(re.search(r"t=(\d+) um", row.conditions)[1]) * 1e-6
        system = re.match(r"Rs ratio (1um Au on )?(\w+)(\(mur(\d+)\))?/(\w+)", row.quantity)
        coats = [(METALS[system[2] + (system[4] or "")], thickness)]
        if system[1]:
            coats.append((METALS["Au"], 1e-6))
        yield row, METALS[system[5]], coats, frequency


@pytest.mark.parametrize(
    ("cases", "expected"),
    [(by_depths, 98), *((lambda f=f: by_micrometres(f), 30) for f in (1e4, 1e5, 1e6, 1e7, 1e8))],
    ids=["depths", "10 kHz", "100 kHz", "1 MHz", "10 MHz", "100 MHz"],
)
def test_flat_plating(cases, expected):
    # 9 digits are given; the bend of the surface adds something of the order depth / radius
    bent = 1 / FLAT
    judge([Outcome(row, *flat_surface(*case), own_error=bent) for row, *case in cases()], expected)


def plated_rod(text):
    """Base, its diameter, coat and its thickness; of the copper-clad aluminium rod the row gives the outer diameter."""
    found = re.match(r"(\w+) rod .*?(\d+) mm(?: dia)? \+ ([\d.]+) (um|mm) (\w+)(?: mur=(\d+))?", text)
    coat = METALS[found[5] + (found[6] or "")]
    thickness = float(found[3]) * (1e-6 if found[4] == "um" else 1e-3)
    diameter = float(found[2]) * 1e-3 - (2 * thickness if found[1] == "Al" else 0)
    return METALS[found[1]], diameter, coat, thickness


def test_plated_rods():
    outcomes = []
    for row in rows("plating", 262, 297):
        base, diameter, coat, thickness = plated_rod(row.conditions)
        rod = conductor("rod", shapes.round_bar(diameter), material=base, coats=[(coat, thickness)])
        outcomes.append(Outcome(row, *resistance(solve(alone(rod), row.number("f")))))
    judge(outcomes, 36)
