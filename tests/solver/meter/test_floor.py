"""The floor of a meter among the causes: stated, unstated, beside a series resistance."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from meter_benches import SETS, impedance, known

from crosscurrent.solver.meter.causes import CONTACT, FLOOR, OFFSET, offset
from crosscurrent.solver.meter.diagnose import diagnose
from crosscurrent.solver.meter.floor import at_a_short, drowned

RODS, HAND_COAX = 1, 4
SCARCE = 0.05  # of the noise that the bench has: an offset shows


def shown(number, added, *, stated=True, hidden=None, noise=1.0, seed=18):
    """A reading with an offset [ohm], the meter else exact but for its noise."""
    _, meter, length = SETS[number]
    z, f = impedance(number, hidden or {}), np.array(meter.frequencies)
    rng, scatter = np.random.default_rng(seed), noise * (meter.noise * np.abs(z) + 0.1 * meter.floor)
    read = z + added + scatter * (rng.normal(size=len(f)) + 1j * rng.normal(size=len(f)))
    reading = meter.showing(read, length, scatter)
    return reading if stated else replace(reading, floor=0 * f, floor_stated=False)


def unstated(number):
    calculated = known(number)[2]
    return replace(calculated, causes=(*calculated.causes, offset(float(np.abs(calculated.impedance).min()))))


def test_an_offset_within_the_stated_floor_needs_no_cause_and_is_named_with_its_size() -> None:
    found = diagnose(shown(RODS, 1.5e-6, noise=SCARCE), known(RODS)[2])
    assert found.verdict == "within"
    (one,) = found.explanations[0].causes
    assert one.key == FLOOR
    assert one.amount.stated == pytest.approx(2e-6)
    assert one.amount.value == pytest.approx(1.5e-6, abs=2 * one.amount.error)
    assert one.amount.band == pytest.approx((20, 2.5e3), rel=0.2)  # up to where the next range begins, 3 kHz
    assert found.explanations[0].left_resistance == pytest.approx(0, abs=0.1)
    # in R alone it looks like a resistance in series: that is told beside it
    (same,) = one.alike
    assert same.key == CONTACT
    assert same.value == pytest.approx(1.5e-6, abs=2 * same.error)
    # and a short would tell the two apart, or any other pair that it stands in
    apart = at_a_short(one, found.explanations)
    assert apart is not None
    assert (apart.kind, apart.quantity) == ("short", "R")
    assert at_a_short(one, ()) is None


def test_one_of_x_looks_like_no_resistance() -> None:
    found = diagnose(shown(RODS, 1.5e-6j, noise=SCARCE), known(RODS)[2])
    assert found.verdict == "within"
    assert found.explanations[0].keys == {FLOOR}
    assert found.explanations[0].causes[0].alike == ()


def test_without_one_none_is_named() -> None:
    found = diagnose(shown(RODS, 0.0), known(RODS)[2])
    assert (found.verdict, found.explanations[0].keys) == ("within", frozenset())


@pytest.mark.parametrize("added", [4.8e-3 - 2.4e-3j, -3.2e-3])
def test_a_floor_that_nobody_stated_is_found_where_it_has_its_own_shape(added) -> None:
    found = diagnose(shown(HAND_COAX, added, stated=False), unstated(HAND_COAX))
    assert found.verdict == "named"
    (one,) = found.explanations[0].causes
    assert one.key == OFFSET
    for amount, true in zip((one.amount, *one.shapes), (np.real(added), np.imag(added)), strict=True):
        assert amount.value == pytest.approx(true, abs=2 * amount.error)


@pytest.mark.parametrize("hidden", [{"contact": 3e-4}, {"leads": 6e-8}])
def test_it_takes_nothing_from_resistances_and_inductances_in_series(hidden) -> None:
    found = diagnose(shown(RODS, 0.0, stated=False, hidden=hidden), unstated(RODS))
    assert (found.verdict, found.explanations[0].keys) == ("named", frozenset(hidden))
    assert not found.floor_stated


def test_where_a_reading_is_nothing_but_the_floor() -> None:
    """|R| or |X| below twice the standard uncertainty of the floor: 2 / root 3 of its bound of 0.2 mohm."""
    reading = shown(HAND_COAX, 0.0)
    small = 1 / np.sqrt(1 + (1e3 / reading.frequencies) ** 2)
    low = replace(reading, reactance=1e-3 * small, resistance=1e-3 + 0 * small)
    (one,) = drowned(low, ())
    assert (one.quantity, one.low, one.stated) == ("L", 100.0, True)
    under = reading.frequencies[1e-3 * small < 0.4e-3 / np.sqrt(3)]
    assert one.high == under[-1]
    assert one.floor == pytest.approx(2e-4)
    assert drowned(replace(low, reactance=0.1 + 0 * small), ()) == ()
    (every,) = drowned(replace(low, reactance=1e-5 * small), ())
    assert (every.low, every.high) == (reading.frequencies[0], reading.frequencies[-1])
