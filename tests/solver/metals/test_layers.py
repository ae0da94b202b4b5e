"""The one-dimensional layered surfaces against every closed-form row of the references, limits, and mpmath."""

import math
import re
from itertools import pairwise

import mpmath
import numpy as np
import pytest
from common import MU0, SIGMA, frequency_for, metal
from plating_rows import by_depths, by_micrometres, plated_rod
from reference_rows import rows

from crosscurrent.solver.metals.layers import Layer, LayerError, flat_surface
from crosscurrent.solver.metals.round_layers import round_surface

COPPER = metal(SIGMA)
SILVER = metal(62.9e6)
BRASS = metal(15.9e6)
NICKEL = metal(14.3e6, 100.0)
WALL = 1e-3


def agrees(found, row):
    """To the last digit that the row states."""
    places = int(re.match(r"(\d+) digits", row.precision)[1])
    assert found == pytest.approx(row.value, rel=min(1e-8, 10.0 ** (1 - places)), abs=0), row


def depths_of(row):
    """Thickness in skin depths; multiples of pi are printed with ten digits only."""
    printed = float(re.search(r"t/delta=([\d.]+)", row.conditions)[1])
    quarter = round(printed / (math.pi / 2)) * math.pi / 2
    return quarter if abs(printed - quarter) < 1e-9 * printed else printed


def stack(base, coats):
    return [Layer(base), *(Layer(m, t) for m, t in coats)]


def test_every_row_of_films():
    found = rows("plating", 1, 13)
    assert len(found) == 13
    for row in found:
        depths = depths_of(row)
        film = flat_surface([Layer(COPPER, WALL)], frequency_for(WALL / depths))
        agrees(film.resistance * SIGMA * WALL / depths, row)


@pytest.mark.parametrize("cases", [by_depths, *(lambda f=f: by_micrometres(f) for f in (1e4, 1e5, 1e6, 1e7, 1e8))])
def test_every_row_of_flat_plating(cases):
    count = 0
    for row, base, coats, frequency in cases():
        found, bare = flat_surface(stack(base, coats), frequency), flat_surface([Layer(base)], frequency)
        agrees(found.resistance / bare.resistance, row)
        count += 1
    assert count in (98, 30)


def test_every_row_of_plated_rods():
    found = rows("plating", 262, 297)
    assert len(found) == 36
    for row in found:
        base, diameter, coat, thickness = plated_rod(row.conditions)
        rod = round_surface([Layer(base, diameter / 2), Layer(coat, thickness)], row.number("f"))
        agrees(rod.resistance, row)


def test_internal_inductance_of_copper_clad_steel():
    # published with plating-292: steel of 8 mm, 6 MS/m, permeability 100, under 0.5 mm of copper, at 50 Hz
    rod = round_surface([Layer(metal(6e6, 100.0), 4e-3), Layer(COPPER, 0.5e-3)], 50.0)
    assert rod.inductance == pytest.approx(322.3486183e-9, rel=1e-9)


def test_every_row_of_plates_and_layers():
    found = rows("plates")
    assert len(found) == 41
    for row in found:
        depths = depths_of(row)
        half = 2 if "isolated" in row.conditions else 1  # field on both sides: two walls back to back
        wall = flat_surface([Layer(COPPER, WALL / half)], frequency_for(WALL / depths))
        if row.quantity.startswith("Li"):
            agrees(wall.inductance / (MU0 * WALL / 3), row)
            continue
        ratio = float(wall.resistance) * SIGMA * WALL / half
        if "layer m" in row.conditions:  # H from m - 1 to m: half the difference and half the sum of two walls' fields
            m = row.number("layer m")
            thin = flat_surface([Layer(COPPER, WALL / 2)], frequency_for(WALL / depths)).impedance
            even, odd = 2 * thin.real, (2j * math.pi * frequency_for(WALL / depths) * MU0 / thin).real / SIGMA * 2
            ratio = SIGMA * WALL * (even + (2 * m - 1) ** 2 * odd) / 4
        agrees(ratio, row)


def test_every_closed_form_row_of_tubes():
    checked = 0
    for row in rows("tube", 1, 96):
        b_over_a, depths = row.number("b/a"), depths_of(row)
        outer = WALL / (1 - b_over_a)
        inside = "inside" in row.conditions
        tube = round_surface(
            [Layer(COPPER, WALL)], frequency_for(WALL / depths), bore=outer - WALL,
            returns="inside" if inside else "outside",
        )  # fmt: skip
        area = math.pi * WALL * (2 * outer - WALL)
        if row.quantity == "R/R0":
            agrees(tube.resistance * SIGMA * area, row)
        else:
            agrees(tube.inductance / resting_inductance(outer, outer - WALL), row)
        checked += 1
    for row in rows("tube", 97, 120):
        diameter, wall, frequency = (float(v) for v in re.findall(r"(?:OD|wall|f=) ?([\d.]+)", row.conditions))
        tube = round_surface([Layer(COPPER, wall)], frequency, bore=diameter / 2 - wall)
        agrees(tube.resistance, row)
        checked += 1
    assert checked == 120


def resting_inductance(a, b):
    """Of the field inside a tube with evenly spread current."""
    c = a * a - b * b
    return MU0 / (2 * math.pi * c**2) * (b**4 * math.log(a / b) + (a**4 - b**4) / 4 - b**2 * c)


def test_rods_of_the_round_topic():
    for row in rows("round"):
        if row.quantity in ("R/R0", "Li/Li0") and row.conditions.startswith("isolated solid round wire, x="):
            x = float(re.search(r"x=([\d.]+)", row.conditions)[1])
            rod = round_surface([Layer(COPPER, WALL)], frequency_for(WALL * math.sqrt(2) / x))
            scale = SIGMA * math.pi * WALL**2 if row.quantity == "R/R0" else 8 * math.pi / MU0
            agrees((rod.resistance if row.quantity == "R/R0" else rod.inductance) * scale, row)


def by_matching(layers, frequency, bore=0.0):
    """Internal impedance and current shares in 60 digits: constants of each ring from continuity at its back."""
    mpmath.mp.dps = 60
    w = 2 * mpmath.pi * frequency
    radius, ratio, currents = mpmath.mpf(bore), None, [mpmath.mpf(0)]
    field, h = mpmath.mpf(1), mpmath.mpf(0)
    for m, thickness in layers:
        mu, sigma = mpmath.mpf(MU0) * m.permeability, mpmath.mpf(m.conductivity)
        p = mpmath.sqrt(1j * w * mu * sigma)
        if radius == 0:
            a, b = mpmath.mpf(1), mpmath.mpf(0)
        else:
            x = p * radius
            i0, i1, k0, k1 = (f(n, x) for f in (mpmath.besseli, mpmath.besselk) for n in (0, 1))
            g = h * p / sigma
            a, b = x * (k1 * field + k0 * g), x * (i1 * field - i0 * g)
        radius += mpmath.mpf(thickness)
        y = p * radius
        field = a * mpmath.besseli(0, y) + (b * mpmath.besselk(0, y) if b else 0)
        h = sigma / p * (a * mpmath.besseli(1, y) - (b * mpmath.besselk(1, y) if b else 0))
        currents.append(2 * mpmath.pi * radius * h)
    ratio = field / currents[-1]
    return complex(ratio), [complex((n - m) / currents[-1]) for m, n in pairwise(currents)]


@pytest.mark.parametrize("depths", [1e-3, 0.01, 0.3, 3.0, 100.0, 1e4, 1e5])
@pytest.mark.parametrize("permeability", [1.0, 100.0, 600.0])
@pytest.mark.parametrize("bore", [0.0, 0.7e-3])
def test_coated_rods_and_tubes_against_mpmath(depths, permeability, bore):
    inner = (BRASS, 1e-3)
    layers = [inner, (metal(14.3e6, permeability), 2e-6), (SILVER, 1e-6)]
    frequency = frequency_for(1e-3 / depths, BRASS.conductivity)
    found = round_surface([Layer(m, t) for m, t in layers], frequency, bore=bore)
    impedance, shares = by_matching(layers, frequency, bore)
    assert found.resistance == pytest.approx(impedance.real, rel=1e-9)
    assert found.impedance.imag == pytest.approx(impedance.imag, rel=1e-8)
    for mine, exact in zip(found.current_shares, shares, strict=True):
        assert abs(mine - exact) < 1e-9


def test_thick_layer_is_the_bulk_and_no_layer_is_the_base():
    frequency = np.logspace(1, 10, 19)
    for base, coat in [(BRASS, SILVER), (COPPER, NICKEL)]:
        bulk = flat_surface([Layer(coat)], frequency).impedance
        assert flat_surface([Layer(base), Layer(coat, 1.0)], frequency).impedance == pytest.approx(bulk, rel=1e-12)
        plain = flat_surface([Layer(base)], frequency).impedance
        assert flat_surface([Layer(base), Layer(coat, 0.0)], frequency).impedance == pytest.approx(plain, rel=1e-12)


def test_equal_metals_are_one_piece():
    frequency = np.logspace(1, 10, 19)
    bulk = flat_surface([Layer(NICKEL)], frequency).impedance
    layers = [Layer(NICKEL), *[Layer(NICKEL, t) for t in (1e-7, 3e-5, 2e-3)]]
    assert flat_surface(layers, frequency).impedance == pytest.approx(bulk, rel=1e-12)
    rod = round_surface([Layer(NICKEL, 5e-3)], frequency).impedance
    pieces = round_surface([Layer(NICKEL, t) for t in (4e-3, 1e-3 - 5e-6, 5e-6)], frequency).impedance
    assert pieces == pytest.approx(rod, rel=1e-10)


def test_large_rod_is_flat():
    frequency = frequency_for(1e-6)
    flat = flat_surface([Layer(BRASS), Layer(SILVER, 1e-6)], frequency).impedance
    rod = round_surface([Layer(BRASS, 0.1), Layer(SILVER, 1e-6)], frequency).impedance
    assert rod * 2 * math.pi * 0.1 == pytest.approx(flat, rel=5e-5)


def test_shares_add_up_and_the_nickel_takes_the_loss():
    frequency = np.logspace(3, 9, 7)
    for found in (
        flat_surface([Layer(COPPER), Layer(NICKEL, 5e-6), Layer(SILVER, 1e-6)], frequency),
        round_surface([Layer(COPPER, 2e-3), Layer(NICKEL, 5e-6), Layer(SILVER, 1e-6)], frequency),
        round_surface([Layer(COPPER, 2e-3), Layer(NICKEL, 5e-6)], frequency, bore=1e-3, returns="inside"),
    ):
        assert sum(found.current_shares) == pytest.approx(np.ones(7), rel=1e-12)
        assert sum(found.loss_shares) == pytest.approx(np.ones(7), rel=1e-12)
        assert all((share > -1e-12).all() for share in found.loss_shares)
    nickel = flat_surface([Layer(COPPER), Layer(NICKEL, 5e-6)], 1e8)
    assert nickel.loss_shares[1] > 0.99  # 3.8 depths thick


def test_share_in_a_half_space_falls_as_the_exponential():
    # the current below a depth t is exp(-p t) of the whole
    frequency = frequency_for(1e-6)
    found = flat_surface([Layer(COPPER), Layer(COPPER, 1.5e-6)], frequency)
    assert found.current_shares[0] == pytest.approx(np.exp(-1.5 * (1 + 1j)), rel=1e-12)
    assert found.loss_shares[0] == pytest.approx(np.exp(-3), rel=1e-12)


def test_arrays_of_thicknesses_and_frequencies_spread_out():
    thickness = np.array([0.0, 1e-6, 1e-5])
    grid = flat_surface([Layer(BRASS), Layer(SILVER, thickness)], np.array([[1e6], [1e7]]))
    assert grid.impedance.shape == grid.frequency.shape == grid.current_shares[0].shape == (2, 3)
    one = flat_surface([Layer(BRASS), Layer(SILVER, 1e-5)], 1e7)
    assert grid.impedance[1, 2] == pytest.approx(complex(one.impedance), rel=1e-14)


def test_temperature_changes_every_layer():
    warm = metal(COPPER.conductivity / 1.2)
    heated = type(COPPER)("heated", COPPER.conductivity, temperature_coefficient=0.004)
    assert flat_surface([Layer(heated, 1e-3)], 1e5, temperature=70.0).impedance == pytest.approx(
        flat_surface([Layer(warm, 1e-3)], 1e5).impedance, rel=1e-12
    )


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: flat_surface([], 1e6), "found none; give the base metal first"),
        (lambda: flat_surface([Layer(BRASS)], 0.0), "expected frequencies above 0 Hz, found 0 Hz"),
        (lambda: flat_surface([Layer(BRASS), Layer(SILVER, -1e-6)], 1e6), "layer 2: expected a thickness of 0"),
        (lambda: flat_surface([Layer(BRASS), Layer(SILVER)], 1e6), "layer 2: only the first layer may be infinite"),
        (lambda: round_surface([], 1e6), "found none; give the base metal first"),
        (lambda: round_surface([Layer(BRASS)], 1e6), "layer 1 of a round conductor: expected a thickness above 0 m"),
        (lambda: round_surface([Layer(BRASS, 1e-3)], 1e6, bore=-1.0), "expected a bore of 0 m or more"),
        (lambda: round_surface([Layer(BRASS, 1e-3)], 1e6, returns="inside"), "no room for a return inside"),
    ],
)
def test_what_cannot_be_is_refused(call, message):
    with pytest.raises(LayerError, match=message):
        call()
