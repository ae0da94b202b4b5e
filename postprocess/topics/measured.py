"""The words, table and record of a measurement laid over what is calculated."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from crosscurrent.geometries.arrays import BoolArray, FloatArray
from crosscurrent.postprocess.answers.axial_names import Json
from crosscurrent.postprocess.answers.tables import TextTable
from crosscurrent.postprocess.answers.units import concise, engineering, temperatures
from crosscurrent.solver.meter.diagnosis import Verdict
from crosscurrent.solver.meter.overlay import COVERED, Overlay
from crosscurrent.solver.meter.run_impedance import RunImpedance

FILE = "measured.csv"
SPREAD = 7  # measured rows in the table beside the frequencies of the case
WITHIN = 0.9  # share of rows within the bars of both from which the whole is
BEYOND = 1000.0  # times what is calculated: percents of more say nothing
FACTOR = 100.0  # between measured and calculated from which a unit is asked about


@dataclass(frozen=True, eq=False)
class MeasuredAnswer:
    """A measurement beside what is calculated.

    Attributes
    ----------
    file, circuit : str
    overlay : Overlay
        At the frequencies of the reading.
    known : RunImpedance
        The same at the frequencies of the case as well.
    asked : tuple of float
        The frequencies of the case [Hz].
    recognised : tuple of str
        What of the files was taken for what.
    doubts : tuple of str
        About the reading.
    leads : ((float, float), (float, float))
        Series resistance and inductance that were found and taken off, each with its standard uncertainty [ohm], [H].
    tolerances : tuple of str
        The figures whose tolerances make the band.
    left_out : tuple of str
        Those that could not.
    axial : bool
        Whether the run is a coil.
    allowed : float
        For joints, by the case's own tables [[joint]]: in the calculated R, since the meter sees them too [ohm].
    elsewhere : float
        The same where the run that was measured is not that of the case: not in the calculated R.
    """

    file: str
    circuit: str
    overlay: Overlay
    known: RunImpedance
    asked: tuple[float, ...]
    recognised: tuple[str, ...] = ()
    doubts: tuple[str, ...] = ()
    leads: tuple[tuple[float, float], tuple[float, float]] = ((0.0, 0.0), (0.0, 0.0))
    tolerances: tuple[str, ...] = ()
    left_out: tuple[str, ...] = ()
    axial: bool = False
    allowed: float = 0.0
    elsewhere: float = 0.0

    @cached_property
    def columns(self) -> dict[str, FloatArray]:
        """Everything over frequency, under the names that files use."""
        o, r, c = self.overlay, self.overlay.reading, self.overlay.calculated
        return {
            "frequency_hz": r.frequencies,
            "resistance_ohm": r.resistance,
            "resistance_uncertainty_ohm": r.resistance_error,
            "inductance_h": r.inductance,
            "inductance_uncertainty_h": r.inductance_error,
            "quality": r.quality,
            "calculated_resistance_ohm": c.impedance.real,
            "calculated_resistance_error_ohm": c.resistance_bar,
            "calculated_resistance_tolerance_ohm": c.resistance_band,
            "calculated_inductance_h": c.inductance,
            "calculated_inductance_error_h": c.reactance_bar / c.omega,
            "calculated_inductance_tolerance_h": c.reactance_band / c.omega,
            "resistance_residual": o.resistance_residual,
            "inductance_residual": o.reactance_residual,
        }

    @property
    def at_table(self) -> FloatArray:
        """Frequencies of the table: those of the case within the measurement, some that were measured."""
        measured = self.overlay.reading.frequencies
        spread = measured[np.unique(np.linspace(0, len(measured) - 1, SPREAD).round().astype(int))]
        return np.union1d(spread, self._inside)

    @property
    def _inside(self) -> FloatArray:
        low, high = self.overlay.reading.frequencies[[0, -1]]
        return np.array([f for f in self.asked if low <= f <= high])

    @property
    def outside(self) -> list[float]:
        """Frequencies of the case that were not measured [Hz]."""
        inside = self._inside
        return [f for f in self.asked if f and f not in inside]


def measured_csv(found: MeasuredAnswer) -> str:
    """One row per measured frequency."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(found.columns)
    writer.writerows(row.tolist() for row in np.column_stack(list(found.columns.values())))
    return out.getvalue()


def record(found: MeasuredAnswer) -> dict[str, Json]:
    """For results.json."""
    o, r = found.overlay, found.overlay.reading
    (lead_r, lead_ru), (lead_l, lead_lu) = found.leads
    points: list[Json] = []
    for row in np.column_stack(list(found.columns.values())):
        values = [float(v) if np.isfinite(v) else None for v in row]
        points.append(dict(zip(found.columns, values, strict=True)))
    return {
        "file": found.file,
        "circuit": found.circuit,
        "length_m": None if found.axial else r.length,
        "temperature_degc": r.temperature,
        "joints": r.joints,
        "joints_allowed_ohm": found.allowed,
        "recognised": list(found.recognised),
        "resistance_within": float(o.resistance_within.mean()),
        "inductance_within": float(o.reactance_within.mean()),
        "found_lead_resistance_ohm": lead_r,
        "found_lead_resistance_uncertainty_ohm": lead_ru,
        "found_lead_inductance_h": lead_l,
        "found_lead_inductance_uncertainty_h": lead_lu,
        "tolerances": list(found.tolerances),
        "reduced_model": not found.overlay.calculated.solved,
        "points": points,
    }


def table(found: MeasuredAnswer) -> TextTable:
    """Measured and calculated at the user's frequencies, and at some that were measured."""
    o, known = found.overlay, found.known
    at, place = found.at_table, np.log(o.reading.frequencies)
    there = known.at(at)

    def between(values: FloatArray) -> FloatArray:
        return np.interp(np.log(at), place, values)

    c, r = o.calculated, o.reading
    columns: list[list[str]] = [[concise(float(f), "Hz", 4) for f in at]]
    for unit, calculated, ratio, error, residual in (
        ("ohm", there.impedance.real, o.resistance_ratio, r.resistance_error / c.impedance.real, o.resistance_residual),
        ("H", there.inductance, o.reactance_ratio, r.reactance_error / c.impedance.imag, o.reactance_residual),
    ):
        shares, errors = between(ratio), between(error)
        columns.append([engineering(float(v), unit) for v in shares * calculated])
        columns.append([_percent(COVERED * e, s) for e, s in zip(errors, shares, strict=True)])
        columns.append([engineering(float(v), unit) for v in calculated])
        columns.append([_apart_by(float(s)) for s in shares])
        columns.append([f"{u:+.1f}" for u in between(residual)])
    names = ("measured", "+-", "calculated", "apart", "in u")
    heads = ("at", *(f"{letter} {name}" if name != "+-" else name for letter in "RL" for name in names))
    length = "" if found.axial else f"{engineering(r.length, 'm', 3)} of "
    where = f"{length}{found.circuit} at {temperatures(r.temperature, None)}"
    whole = "coil" if found.axial else "run"
    heading = f"Measured and calculated, {where} (whole {whole}; u: one standard uncertainty of both together)"
    return TextTable(heading, heads, tuple(zip(*columns, strict=True)))


def _apart_by(ratio: float) -> str:
    """Measured over calculated, less one.

    Examples
    --------
    >>> _apart_by(1.056), _apart_by(5e5), _apart_by(-5e5)
    ('+5.6 %', '> 1000 times', '< -1000 times')
    """
    if abs(ratio) > BEYOND:
        return f"{'> ' if ratio > 0 else '< -'}{BEYOND:.0f} times"
    return f"{_two(100 * (ratio - 1), '+')} %"


def _percent(bar: float, value: float) -> str:
    """A bar over its value; none of one that it hides.

    Examples
    --------
    >>> _percent(0.02, -1.0), _percent(0.02, 0.0)
    ('2 %', '-')
    """
    return f"{100 * abs(bar / value):.2g} %" if abs(value) > abs(bar) else "-"


def sentences(found: MeasuredAnswer, causes: Verdict | None = None) -> Iterator[str]:
    """What the overlay shows, what was taken off and what was recognised; as `verdict` has it first."""
    o = found.overlay
    yield verdict(found, causes)
    yield _apart("R", found, o.resistance_ratio, o.resistance_within, o.resistance_residual)
    yield _apart("L", found, o.reactance_ratio, o.reactance_within, o.reactance_residual)
    (r, ru), (h, hu) = found.leads
    alone = [f"R = {_amount(r, ru, 'ohm')}"] if r or ru else []
    alone += [f"L = {_amount(h, hu, 'H')}"] if h or hu else []
    if alone:
        yield (
            f"leads in series if nothing else is off, constant over frequency: {', '.join(alone)}, taken off in table "
            "and picture; causes are fitted to all of the difference"
        )
    if found.tolerances:
        yield f"the tolerance band is that of {', '.join(found.tolerances)}"
    if found.allowed:
        yield f"joints that the case allows for, {concise(found.allowed, 'ohm', 3)}, are in the calculated R"
    if found.elsewhere:
        yield (
            f"joints that the case allows for, {concise(found.elsewhere, 'ohm', 3)}, are not in the calculated R: what "
            "was measured is not as long as the case"
        )
    for line in found.left_out:
        yield f"not in the tolerance band: {line}"
    if found.outside:
        yield f"not measured: {', '.join(concise(f, 'Hz') for f in found.outside)}"
    ways = "through one reduced model"
    if found.overlay.calculated.solved:
        ways = f"{found.overlay.calculated.solved} of them solved one by one, splines between"
    count = len(found.known.frequencies)
    yield f"calculated at {'1 frequency' if count == 1 else f'{count} frequencies'}, {ways}"
    yield from found.recognised


def _apart(letter: str, found: MeasuredAnswer, ratio: FloatArray, within: BoolArray, residual: FloatArray) -> str:
    low, high = (100 * (float(v) - 1) for v in (ratio.min(), ratio.max()))
    worst = int(np.abs(residual).argmax())
    f = concise(float(found.overlay.reading.frequencies[worst]), "Hz", 3)
    rows = f"{int(within.sum())} of {len(within)} frequencies within the bars of both"
    off = residual[worst]
    by = f"{off:+.1f} standard uncertainties" if abs(off) < BEYOND else "more than a thousand standard uncertainties"
    if max(abs(low), abs(high)) > 100 * BEYOND:
        return f"{letter} of {found.circuit}: measured up to more than a thousand times what is calculated; {rows}"
    return (
        f"{letter} of {found.circuit}: measured {_span(low, high)} what is calculated; {rows}, furthest apart at {f}, "
        f"{by}"
    )


def _span(low: float, high: float) -> str:
    """Deviations [%] in words.

    Examples
    --------
    >>> _span(1.234, 5.6), _span(-4.0, -1.0), _span(-0.5, 0.25), _span(-57.9, -57.8)
    ('1.2 to 5.6 % above', '4 to 1 % below', '0.5 % below to 0.25 % above', '58 % below')
    """
    if low >= 0 or high <= 0:
        ends = dict.fromkeys(_two(abs(end)) for end in (low, high))
        return f"{' to '.join(ends)} % {'above' if low >= 0 else 'below'}"
    return f"{_two(-low)} % below to {_two(high)} % above"


def _two(percent: float, sign: str = "") -> str:
    """Two digits, or all before the point.

    Examples
    --------
    >>> _two(0.0123), _two(5.64, "+"), _two(-142.3), _two(99.7)
    ('0.012', '+5.6', '-142', '100')
    """
    return f"{percent:{sign}.0f}" if abs(percent) >= 99.5 else f"{percent:{sign}.2g}"


def verdict(found: MeasuredAnswer, causes: Verdict | None = None) -> str:
    """Whether the difference says anything, row by row and, where causes were looked for, by all rows together."""
    o = found.overlay
    shares = {"R": float(o.resistance_within.mean()), "L": float(o.reactance_within.mean())}
    off = [letter for letter, share in shares.items() if share < WITHIN]
    if not off:
        if causes not in (None, "within"):
            return "row by row the difference is within the bars of meter and calculation; all rows together say more"
        return "the difference is within the bars of meter and calculation: it says nothing against the case"
    which = {"R": "R is", "L": "L is"}[off[0]] if len(off) == 1 else "R and L are"
    if causes == "within":
        return (
            f"{which} off by more than the bars of both in more than a tenth of the rows, but all rows together are no "
            "further off than meter, scatter and computing leave open: it says nothing against the case"
        )
    return f"{which} off by more than meter, computing and tolerances leave open: something is not as the case says"


def warnings(found: MeasuredAnswer) -> Iterator[str]:
    """Doubts about the reading, and factors that look like a unit."""
    yield from found.doubts
    o = found.overlay
    for letter, ratio in (("R", o.resistance_ratio), ("L", o.reactance_ratio)):
        factor = float(np.median(np.abs(ratio)))
        if factor > FACTOR or factor < 1 / FACTOR:
            times = f"about {factor:.1g} times" if factor < BEYOND else "more than a thousand times"
            through = any("-through" in line for line in found.recognised)
            connected = "the connection (series-through or shunt-through), " if through else ""
            yield (
                f"measured {letter} is {times} what is calculated: check {connected}units, series or parallel, the "
                "length and what hung on the meter"
            )


def _amount(value: float, error: float, unit: str) -> str:
    bound = engineering(COVERED * error, unit, 2)
    return f"{engineering(value, unit, 3)} +- {bound}"


