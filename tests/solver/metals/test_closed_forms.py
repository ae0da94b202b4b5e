"""Closed forms of pairs against each other and against printed values."""

import math

import pytest
from reference_rows import rows

from crosscurrent.solver.metals.closed_forms import (
    coaxial_inductance,
    proximity_of_three,
    proximity_of_two,
    skin_number,
    wire_pair_crowding,
    wire_pair_inductance,
)
from crosscurrent.solver.metals.strip_forms import plates_inductance


def test_a_line_of_377_ohm_times_ln_over_two_pi():
    """Z = 59.96 ln(D/d) ohm in air, sqrt(L / C) with L C = 1 / c^2: so L = Z / c; 3.6 : 1 has 76.8 ohm (handbooks)."""
    assert coaxial_inductance(0.5, 1.3) * 299792458.0 == pytest.approx(76.8, abs=0.05)


def test_a_narrow_coaxial_gap_is_a_plate_gap():
    assert coaxial_inductance(0.1, 1e-5) == pytest.approx(plates_inductance(1e-5, 2 * math.pi * 0.1), rel=1e-4)


def test_far_wires_do_not_crowd():
    even = wire_pair_inductance(0.001, 1.0, thin_skin=False)
    assert wire_pair_inductance(0.001, 1.0) == pytest.approx(even, rel=1e-6)
    assert wire_pair_crowding(0.001, 1.0) == pytest.approx(1.0, abs=1e-5)
    # 1 m apart, 2 mm thick: 0.4 ln(1000) uH/m
    assert wire_pair_inductance(0.001, 1.0) * 1e6 == pytest.approx(0.4 * math.log(1000), rel=1e-6)


def test_crowding_is_the_slope_of_the_inductance():
    """H. A. Wheeler's rule, 1942: R = (Rs / mu0) dL/dn, n into the metal of both wires; alone Rs / (pi r) for both."""
    radius, distance, step = 0.005, 0.014, 1e-8
    slope = (wire_pair_inductance(radius - step, distance) - wire_pair_inductance(radius + step, distance)) / (2 * step)
    assert slope / (4e-7 * math.pi) * math.pi * radius == pytest.approx(wire_pair_crowding(radius, distance), rel=1e-6)


def test_two_wires_by_the_standard_are_those_of_the_rows():
    """1 + ys + yp as the rows print it, and exact within 0.2 % up to x = 1.5."""
    found = [row for row in rows("iec") if row.quantity == "1+ys+yp exact"]
    assert len(found) == 25
    for row in found:
        number, spread = row.number("xp"), row.number("D/2a")
        printed = float(row.conditions.partition("IEC gives ")[2].split()[0])
        skin = number**4 / (192 + 0.8 * number**4)
        assert 1 + skin + proximity_of_two(number, spread) == pytest.approx(printed, abs=2e-6), row.id
        if number <= 1.5:
            assert printed == pytest.approx(row.value, rel=2e-3), row.id


def test_three_wires_by_the_standard():
    """Copper of 20 mm, axes 30 mm apart, 50 Hz, 58 MS/m: the rows of three phases within 0.1 %."""
    resistance = 1 / (58e6 * math.pi * 0.01**2)
    number = skin_number(resistance, 50.0)
    skin = number**4 / (192 + 0.8 * number**4)
    for row in (*rows("nwires", 1, 1), *rows("nwires", 5, 5)):
        found = 3 * resistance * (1 + skin + proximity_of_three(number, 1.5))
        assert found == pytest.approx(row.value, rel=1e-3), row.id
