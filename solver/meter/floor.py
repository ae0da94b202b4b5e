"""What the floor of the meter explains: an offset of R and of X, within what its data sheet allows.

A floor that is stated is part of the uncertainty, so that it costs no cause. How large the offset is that it takes is
known all the same: it is the part of the covariance that the difference has (the best linear prediction; C. R.
Henderson, Biometrics 31, 423-447, 1975, from memory).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from crosscurrent.geometries.arrays import BoolArray, FloatArray

from .causes import FLOOR, FLOOR_NAME, OFFSET, PhysicalCause
from .diagnosis import Amount, Drowned, Explained, Explanation, Quantity, Separation
from .fit import Differing, Fit, fitted
from .judge import Rated
from .reading import MeterReading

BOUND = np.sqrt(3)  # over the standard uncertainty that stands for it (GUM, JCGM 100:2008, 4.3.7)
SEEN = 2.0  # standard uncertainties from which an offset is told
HIDES = 2.0  # standard uncertainties of the floor: a reading that is no larger says nothing


def floor_taken(given: Differing, bare: Fit, contact: PhysicalCause | None) -> Explained | None:
    """The offset that explains a difference without any cause; None where none is needed, or where none explains it.

    Parameters
    ----------
    given : Differing
    bare : Fit
        Without a cause.
    contact : PhysicalCause or None
        A resistance in series: told beside it where it would do the same.
    """
    floors = given.uncertainty.floors
    without = replace(given, uncertainty=given.uncertainty.without_floor())
    if not floors.size or not Rated.of(bare, given).holds or Rated.of(fitted(without, ()), without).holds:
        return None
    own = given.uncertainty.whitened(floors)
    value, spread = own.T @ bare.left, np.sqrt(np.diag(np.eye(own.shape[1]) - own.T @ own))
    order = np.argsort(-np.abs(value) / spread)
    told = [k for k in order if abs(value[k]) > SEEN * spread[k]] or [int(order[0])]
    amounts = [_amount(given, floors[:, k], float(value[k]), float(spread[k])) for k in told]
    same = _contact(without, contact) if contact and amounts[0].name.endswith("R") else ()
    real, other = np.split(floors @ value, 2)
    shape = _everywhere(given, real), _everywhere(given, other)
    return Explained(FLOOR, FLOOR_NAME, amounts[0], tuple(amounts[1:]), same, *shape)


def _amount(given: Differing, column: FloatArray, value: float, spread: float) -> Amount:
    """Of one range, in R or X."""
    rows, unit = np.flatnonzero(column), float(column.max())
    count, measured = len(given.measured), given.frequencies[given.rows]
    letter = "R" if rows[0] < count else "X"
    some = measured[rows % count]
    band = None if len(rows) == count else (float(some[0]), float(some[-1]))
    return Amount(FLOOR, f"offset in {letter}", "ohm", value * unit, spread * unit, BOUND * unit, band)


def _contact(without: Differing, contact: PhysicalCause) -> tuple[Amount, ...]:
    """A series resistance, where it explains all of it too."""
    one = Rated.of(fitted(without, (contact,), free=frozenset({contact.key})), without)
    if not one.holds:
        return ()
    (p,), (value,), spread = contact.parameters, one.fit.values, float(np.sqrt(one.fit.covariance[0, 0]))
    return (Amount(contact.key, p.name, p.unit, p.amount(float(value)), p.error(float(value), spread), p.amount(0.0)),)


def _everywhere(given: Differing, offset: FloatArray) -> FloatArray:
    """An offset at the rows of a reading as that of the nearest, (m,)."""
    place = np.log(given.frequencies)
    nearest = np.abs(np.subtract.outer(place, place[given.rows])).argmin(axis=1)
    return np.asarray(offset[nearest])


def at_a_short(floor: Explained, pair: Sequence[Explanation]) -> Separation | None:
    """What tells the floor from another explanation: a short shows it by itself; None of others."""
    if not any(FLOOR in one.keys for one in pair):
        return None
    one = floor.amount
    return Separation("short", 0.0, "R" if one.name.endswith("R") else "L", abs(one.value) / one.error)


def drowned(reading: MeterReading, likeliest: tuple[Explained, ...]) -> tuple[Drowned, ...]:
    """Where R or X are no more than the floor, from an end of the band: as stated, or an offset that was found.

    Parameters
    ----------
    reading : MeterReading
    likeliest : tuple of Explained
        The causes of the likeliest explanation.
    """
    found = []
    offset = next((one for one in likeliest if one.key == OFFSET), None)
    parts: tuple[tuple[Quantity, FloatArray], ...] = (("R", reading.resistance), ("L", reading.reactance))
    for k, (quantity, shown) in enumerate(parts):
        of = 0.0 if offset is None else abs((offset.amount, *offset.shapes)[k].value)
        largest = np.maximum(HIDES * reading.floor, HIDES * of)
        under = np.abs(shown) <= largest
        for rows in (_first(under), _first(under[::-1])[::-1]):
            if rows.any():
                band = reading.frequencies[rows]
                floor = of if of else BOUND * float(reading.floor[rows].max())
                found.append(Drowned(quantity, float(band[0]), float(band[-1]), floor, stated=not of))
        if under.all():
            found.pop()
    return tuple(found)


def _first(true: BoolArray) -> BoolArray:
    """Those that are true from the first on."""
    return np.asarray(np.logical_and.accumulate(true))
