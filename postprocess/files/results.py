"""The answers as data: the results document (JSON) and the flat table (CSV)."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from crosscurrent.postprocess.answers.answers import Answers, CircuitAnswer, ConductorAnswer
from crosscurrent.postprocess.answers.axial_names import axial_name, axial_names
from crosscurrent.postprocess.answers.bundle_sums import summed
from crosscurrent.postprocess.answers.bundles import BundleLosses, in_words
from crosscurrent.postprocess.answers.chapter import Chapter, Json
from crosscurrent.postprocess.answers.slope_answers import ConductorSlope, SlopeAnswer
from crosscurrent.postprocess.answers.summary import Summary

from .figures import (
    BUNDLE,
    CIRCUIT,
    CIRCUIT_SLOPE,
    CONDUCTOR,
    CONDUCTOR_SLOPE,
    FACE,
    LAYER,
    MESH,
    POINT,
    ROUGHNESS,
    SEQUENCES,
    SLOPE,
    plain,
    written,
)
from .indented_json import indented_json
from .summary import summary_record

FORMAT = "crosscurrent-results/1"
CONVENTIONS = {
    "units": "SI; per metre of run unless the name says total",
    "phasors": "rms, time factor exp(+j w t), [real, imaginary]",
    "axes": "x to the right, y up, currents positive out of the page",
    "model": "two-dimensional, sinusoidal steady state, linear materials, no displacement current",
    "resistance_ohm_per_m": "of a circuit: real terminal voltage over its current, out and back together (loop)",
    "own_resistance_ohm_per_m": "of a circuit: the loss in the conductors that it shares with no other, over its "
    "current squared",
    "circuit_impedance_ohm_per_m": "terminal voltage of each circuit per ampere of each, all others open",
    "sequence_impedance_ohm_per_m": "of three circuits that are the phases of one system: voltage of each sequence per "
    "ampere of the same one; without a conductor that returns it, zero is relative to a return at return_radius_m",
    "inductance_h_per_m": "of a circuit: reactance over angular frequency (loop), the other circuits as stated",
    "errors": "relative bounds: the true error is not larger",
    "impedance_ohm_per_m": "voltage along each conductor per current in each, with a common return at return_radius_m; "
    "null in a sweep of very many conductors, which a warning says",
    "peak_current_density_a_per_m2": "largest rms value in the section, in a bundle at the surface of a strand; "
    "crest_current_density_a_per_m2 is its crest",
    "conductors": "a bundle whose strands are each solved for is there by its own name too, summed up",
    "bundles": "loss_w_per_m is the sum of skin (direct current, dc_loss_w_per_m, included), uneven sharing, inside "
    "and outside field and what both have crossed; null where it was not parted; loss_if_laid_w_per_m: if strands keep "
    "their place in a group",
    "force_n_per_m": "time average, [x, y]",
    "loss_ratio": "loss over the loss of the same net current as direct current",
}


ROUND_THE_AXIS = {
    axial_name(key, whole=key.startswith(("resistance", "own_", "inductance"))): re.sub(r"_per_m\b", "_per_turn", text)
    for key, text in CONVENTIONS.items()
} | {
    "units": "SI; of a conductor per turn, of circuits and the whole section in total",
    "axes": "r to the right of the axis, z up, currents positive out of the page",
    "model": "round an axis (turns are rings; pitch and leads are not in it), sinusoidal steady state, linear "
    "materials, no displacement current",
    "resistance_ohm_per_turn": "of a circuit: its total over its turns in series",
    "force_n_per_turn": "time average, [radial, summed over the turn, axial]",
    "current_a": "of a conductor that is closed on itself: what flows round in it, induced",
}


@dataclass(frozen=True)
class Heading:
    """What stands above all points of a results document."""

    title: str
    version: str
    case_sha256: str
    length: float | None = None  # of the run [m]
    warnings: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    summary: Summary | None = None  # None only in documents of earlier versions


def document(heading: Heading, found: Sequence[Answers], chapters: Sequence[Chapter] = ()) -> dict[str, Json]:
    """The whole results document, ready for JSON: finite numbers, text, lists, null."""
    largest = max(found, key=lambda a: a.unknowns)
    axial = largest.axial
    summary = None if heading.summary is None else summary_record(heading.summary)
    return {
        "format": FORMAT,
        **({"symmetry": "axial"} if axial else {}),
        "title": heading.title,
        "version": heading.version,
        "case_sha256": heading.case_sha256,
        "length_m": heading.length,
        "summary": axial_names(summary) if axial and summary else summary,
        "conventions": ROUND_THE_AXIS if axial else CONVENTIONS,
        "warnings": list(heading.warnings),
        "cautions": list(heading.cautions),
        "mesh": written(largest, MESH),
        "points": [axial_names(_point(a, None)) if a.axial else _point(a, heading.length) for a in found],
        **{chapter.key: {**chapter.record, "in_words": list(chapter.sentences)} for chapter in chapters},
    }


def as_json(heading: Heading, found: Sequence[Answers], chapters: Sequence[Chapter] = ()) -> str:
    """The results document as text."""
    return indented_json(document(heading, found, chapters)) + "\n"


def _point(a: Answers, length: float | None) -> dict[str, Json]:
    totals = {} if length is None else {"total_loss_w": a.total_loss * length}
    return {
        "frequency_hz": a.frequency,
        "circuits": {name: _circuit(c, length, axial=a.axial) for name, c in a.circuits.items()},
        "conductors": {c.name: _conductor(c, axial=a.axial) for c in (*a.conductors.values(), *summed(a))},
        **({"bundles": {name: _bundle(b) for name, b in a.bundles.items()}} if a.bundles else {}),
        # a sweep of very many conductors knows them by circuits only
        "impedance_ohm_per_m": _matrix(a.impedance, a.names) | {"return_radius_m": a.return_radius},
        "circuit_impedance_ohm_per_m": _matrix(a.circuit_impedance, list(a.circuits)),
        "sequence_impedance_ohm_per_m": None if a.sequences is None else written(a.sequences, SEQUENCES),
        **written(a, POINT),
        "mesh": written(a, MESH),
        **totals,
        **({"slopes": [_slope(one) for one in a.slopes]} if a.slopes else {}),
    }


def _slope(one: SlopeAnswer) -> dict[str, Json]:
    figures = {key: value for key, value in written(one, SLOPE).items() if value is not None or "current" not in key}
    return figures | {
        "circuits": {name: written(c, CIRCUIT_SLOPE) for name, c in one.circuits.items()},
        "conductors": {name: _of_conductor(c) for name, c in one.conductors.items()},
    }


def _of_conductor(one: ConductorSlope) -> dict[str, Json]:
    """Without what only sections round an axis have, in others."""
    found = written(one, CONDUCTOR_SLOPE)
    return {key: value for key, value in found.items() if value is not None or "outward" not in key}


def _matrix(found: npt.NDArray[np.complex128] | None, order: Sequence[str]) -> dict[str, Json]:
    real, imag = (None, None) if found is None else (found.real.tolist(), found.imag.tolist())
    return {"order": list(order), "real": real, "imag": imag}


def _circuit(c: CircuitAnswer, length: float | None, *, axial: bool = False) -> dict[str, Json]:
    if axial:
        turns = {"resistance": c.resistance, "inductance": c.inductance, "loss": c.loss}
        units = {"resistance": "ohm", "inductance": "h", "loss": "w"}
        per_turn = {
            f"{key}_{units[key]}_per_turn": None if value is None else value / c.turns for key, value in turns.items()
        }
        return {"turns": c.turns, **axial_names(written(c, CIRCUIT), whole=True), **per_turn}
    if length is None:
        return written(c, CIRCUIT)
    return written(c, CIRCUIT) | {
        "total_resistance_ohm": None if c.resistance is None else c.resistance * length,
        "total_inductance_h": None if c.inductance is None else c.inductance * length,
        "total_voltage_v": plain(c.voltage * length),
        "total_loss_w": c.loss * length,
    }


def _bundle(b: BundleLosses) -> dict[str, Json]:
    return written(b, BUNDLE) | {"in_words": list(in_words(b))}


def _conductor(c: ConductorAnswer, *, axial: bool = False) -> dict[str, Json]:
    return _conductor_alone(c, axial=axial) | {
        "layers": {name: written(layer, LAYER) for name, layer in c.layers.items()},
        "faces": {face.name: written(face, FACE) for face in c.faces},
    }


def _conductor_alone(c: ConductorAnswer, *, axial: bool = False) -> dict[str, Json]:
    """Without its layers and faces."""
    rough = {"roughness": None if c.roughness is None else written(c.roughness, ROUGHNESS)}
    return {**axial_names(written(c, CONDUCTOR)), "total_loss_w": c.loss, **rough} if axial else (
        written(c, CONDUCTOR) | rough
    )


def rows(found: Sequence[Answers], length: float | None = None) -> list[dict[str, Json]]:
    """One row per frequency and circuit, conductor or bundle; complex figures as two columns.

    Layers and faces are left out; `length` of the run [m] adds totals.
    """
    listed: list[dict[str, Json]] = []
    for point in found:
        for name, circuit in point.circuits.items():
            head: dict[str, Json] = {"frequency_hz": point.frequency, "kind": "circuit", "name": name}
            listed.append(head | _flat(_circuit(circuit, length, axial=point.axial)))
        for conductor in (*point.conductors.values(), *summed(point)):
            head = {"frequency_hz": point.frequency, "kind": "conductor", "name": conductor.name}
            listed.append(head | _flat(_conductor_alone(conductor, axial=point.axial)))
        for name, bundle in point.bundles.items():
            head = {"frequency_hz": point.frequency, "kind": "bundle", "name": name}
            listed.append(head | _flat(_bundle(bundle)))
    return listed


def as_csv(heading: Heading, found: Sequence[Answers]) -> str:
    """The rows as text."""
    listed = rows(found, heading.length)
    columns = list(dict.fromkeys(key for row in listed for key in row))
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(columns)
    writer.writerows([row.get(key) for key in columns] for row in listed)
    return out.getvalue()


def curve(
    found: Sequence[Answers], name: str, length: float | None = None, *, kind: str | None = None
) -> dict[str, npt.NDArray[np.float64]]:
    """The figures of a circuit or conductor over frequency, under the names of table.csv, for a run of a length [m].

    A circuit comes before a conductor of the same name, unless `kind` says "conductor"; what is no number is left out,
    a figure that is missing at a frequency is nan.

    Raises
    ------
    KeyError
        There is neither a circuit nor a conductor of that name.
    """
    listed = []
    for a in found:
        of_circuit = name in a.circuits and kind != "conductor"
        alone = {c.name: c for c in (*a.conductors.values(), *summed(a))}
        figures = _circuit(a.circuits[name], length, axial=a.axial) if of_circuit else (
            _conductor_alone(alone[name], axial=a.axial)
        )
        row: dict[str, Json] = {"frequency_hz": a.frequency}
        listed.append(row | _flat(figures))
    numbers = dict.fromkeys(key for row in listed for key, value in row.items() if isinstance(value, float))
    return {key: np.array([row[key] for row in listed], dtype=float) for key in numbers}


def _flat(figures: Mapping[str, Json]) -> dict[str, Json]:
    flat: dict[str, Json] = {}
    for key, value in figures.items():
        if isinstance(value, dict):
            continue
        if isinstance(value, list) and key in ("shared_conductors", "conductors", "in_words"):
            flat[key] = ("; " if key == "in_words" else ", ").join(map(str, value))
        elif isinstance(value, list):
            ends = ("x", "y") if key.startswith("force") or key.endswith("_at_m") else ("re", "im")
            flat |= {f"{key}_{end}": part for end, part in zip(ends, value, strict=True)}
        else:
            flat[key] = value
    return flat
