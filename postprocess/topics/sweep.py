"""The words, tables, file and record of a sweep: what R, L, loss and sharing do over frequency."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from crosscurrent.postprocess.answers.answers import Answers, CircuitAnswer
from crosscurrent.postprocess.answers.bundle_sums import whole_conductors
from crosscurrent.postprocess.answers.chapter import Json
from crosscurrent.postprocess.answers.noise import (
    bar_or_dash,
    figure,
    inductance_noise,
    own_noise,
    own_resistance_noise,
    resistance_noise,
    terminal_noise,
)
from crosscurrent.postprocess.answers.tables import TextTable
from crosscurrent.postprocess.answers.units import concise, engineering, error_bar, in_mm_and_thou, temperatures

from .sweep_curves import CORNER, SweepCurves

ROWS = 9  # frequencies in the table
SOLID = "the skin takes", "the skin has taken", "the section stays", "a skin alone gives f^0.50"  # by cause
BESIDE = "the skin and what is in no circuit take", "the skin and what is in no circuit have taken", *SOLID[2:]
STRANDED = (
    "eddy currents, in the strands and in metal beside them, take",
    "eddy currents, in the strands and in metal beside them, have taken", "the strands stay",
    "what strands thinner than the skin add grows as f^2",
)  # fmt: skip


@dataclass(frozen=True, eq=False)
class SweepAnswer:
    """The curves of all circuits over the frequencies of a sweep.

    Attributes
    ----------
    points : sequence of Answers
        Rising in frequency.
    curves : tuple of SweepCurves
        One for each circuit that carries current.
    modes : int or None
        Of the reduced model; None where the frequencies were solved one by one.
    """

    points: Sequence[Answers]
    curves: tuple[SweepCurves, ...]
    modes: int | None = None


def record(found: SweepAnswer) -> dict[str, Json]:
    """The numbers of the chapter."""
    return {
        "points": len(found.points),
        "from_hz": found.points[0].frequency,
        "to_hz": found.points[-1].frequency,
        "reduced_model": found.modes is not None,
        "modes": found.modes,
        "circuits": [
            {
                "circuit": one.circuit.name,
                "corner_hz": one.corner,
                "corner_ratio": CORNER,
                "growth_exponent": one.growth,
                "largest_resistance_error": one.widest[0],
                "largest_inductance_error": one.widest[1],
            }
            for one in found.curves
        ],
    }


def table(curves: SweepCurves) -> TextTable:
    """Some of the frequencies, evenly spread."""
    of_resistance = own_resistance_noise if curves.coupled else resistance_noise
    some = np.unique(np.linspace(0, len(curves.frequency) - 1, ROWS).round().astype(int))
    rows = []
    for k in some:
        answer = curves.points[k].circuits[curves.circuit.name]
        rows.append(
            (
                concise(float(curves.frequency[k]), "Hz", 3),
                engineering(float(curves.skin[k]), "m", 3),
                figure(float(curves.resistance[k]), of_resistance(answer), "ohm/m"),
                bar_or_dash(float(curves.resistance_error[k])),
                f"{curves.resistance[k] / curves.dc_resistance:.4g}",
                figure(answer.inductance, inductance_noise(answer), "H/m"),
                bar_or_dash(answer.inductance_error),
                _loss(answer, curves.points[k], coupled=curves.coupled),
            )
        )
    columns = ("at", "skin", "R loop", "+-", "Rac/Rdc", "L loop", "+-", "loss")
    if curves.coupled:
        columns = ("at", "skin", "R of its own", "+-", "Rac/Rdc", "terminal L", "+-", "own loss")
    elif curves.terminal:
        columns = ("at", "skin", "terminal R", "+-", "to dc", "terminal L", "+-", "power taken in")
    first = curves.points[0].circuits[curves.circuit.name]
    at = "" if first.temperature_low is None else f", {temperatures(first.temperature_low, first.temperature_high)}"
    return TextTable(f"{curves.circuit.name} over frequency{at} (rms, per metre)", columns, tuple(rows))


def _loss(answer: CircuitAnswer, point: Answers, *, coupled: bool) -> str:
    loss = answer.own_loss if coupled else answer.loss
    noise = own_noise(answer, point) if coupled else terminal_noise(answer, point)
    return figure(loss, noise, "W/m")


def sentences(found: SweepAnswer) -> Iterator[str]:
    """Of every circuit, and how the frequencies were solved."""
    for one in found.curves:
        yield from of_circuit(one)
    method = "one by one" if found.modes is None else "through one reduced model, certified at every point"
    yield f"{len(found.points)} frequencies, solved {method}"


def of_circuit(one: SweepCurves) -> tuple[str, ...]:
    """Where the skin takes over, and how far R and L move over the sweep."""
    if one.terminal:
        words = "shares all its conductors: R and L over frequency are those at its terminals, which also count power "
        return f"{one.circuit.name} {words}that passes between circuits", _bars(one)
    ratio, inductance, name = one.resistance / one.dc_resistance, one.of("inductance"), one.resistance_name
    first, last = (one.points[k].circuits[one.circuit.name] for k in (0, -1))
    goes = "falls" if inductance[-1] < inductance[0] else "rises"
    low, high = (concise(float(f), "Hz", 3) for f in one.frequency[[0, -1]])
    rest = f"1.41 times its direct-current value ({engineering(one.dc_resistance, 'ohm/m')})"
    stranded = all(c.strands for c in one.conductors)
    takes, has_taken, filled, growth = STRANDED if stranded else BESIDE if one.loaded else SOLID
    if one.corner is not None:
        skin = one.conductors[0].material.skin_depth(one.corner, one.conductors[0].temperature)
        head = (
            f"{one.circuit.name}: {takes} over at {concise(one.corner, 'Hz', 3)}, where {name} is {rest} "
            f"and the skin is {in_mm_and_thou(skin)} deep"
        )
    elif ratio[0] >= CORNER:
        head = f"{one.circuit.name}: {has_taken} over below {low} already, where {name} is "
        head += f"{ratio[0]:.3g} times its direct-current value"
    else:
        head = f"{one.circuit.name}: {filled} filled up to {high}: {name} does not reach {rest}"
    tail = (
        f"{one.circuit.name}: at {high} {name} is {ratio[-1]:.4g} times its direct-current value and grows as "
        f"f^{one.growth:.2f}; L {goes} from {figure(float(inductance[0]), inductance_noise(first), 'H/m')} to "
        f"{figure(float(inductance[-1]), inductance_noise(last), 'H/m')} ({growth})"
    )
    if one.coupled:
        terminals = figure(last.resistance, resistance_noise(last), "ohm/m")
        tail += f"; R at its terminals, {terminals} there, also counts power that passes between circuits"
    return head, tail, _bars(one)


def _bars(one: SweepCurves) -> str:
    resistance, reactance = (error_bar(bar) for bar in one.widest)
    bars = f"error bars over the sweep: {one.resistance_name} at most {resistance}, L at most {reactance}"
    return f"{one.circuit.name}: {bars}"


def sweep_csv(points: Sequence[Answers]) -> str:
    """One row per frequency: R and L of every circuit with their bars, the loss of every conductor with its own.

    Bundles count as one conductor, whether their strands are solved for one by one or not.

    Examples
    --------
    >>> sweep_csv(())
    'frequency_hz\\n'
    """
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    first = points[0] if points else None
    head = ["frequency_hz"]
    for name in first.circuits if first else ():
        head += [f"{name}: {what}" for what in ("resistance_ohm_per_m", "resistance_error", "inductance_h_per_m",
                                                "inductance_error", "resistance_ratio", "own_resistance_ohm_per_m",
                                                "own_resistance_error")]  # fmt: skip
    for conductor in whole_conductors(first) if first else ():
        head += [f"{conductor.name}: {what}" for what in ("loss_w_per_m", "loss_error")]
    writer.writerow(head)
    for point in points:
        row: list[float | None] = [point.frequency]
        for c in point.circuits.values():
            row += [c.resistance, c.resistance_error, c.inductance, c.inductance_error, c.resistance_ratio]
            row += [c.own_resistance, c.own_resistance_error]
        for part in whole_conductors(point):
            row += [part.loss, part.loss_error]
        writer.writerow(row)
    return out.getvalue()
