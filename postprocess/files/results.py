"""The answers as data: the results document (JSON) and the flat table (CSV)."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from .answers import Answers, CircuitAnswer, ConductorAnswer
from .chapter import Chapter

FORMAT = "crosscurrent-results/1"
CONVENTIONS = {
    "units": "SI; per metre of run unless the name says total",
    "phasors": "rms, time factor exp(+j w t), [real, imaginary]",
    "axes": "x to the right, y up, currents positive out of the page",
    "model": "two-dimensional, sinusoidal steady state, linear materials, no displacement current",
    "resistance_ohm_per_m": "of a circuit: real terminal voltage over its current, out and back together (loop)",
    "inductance_h_per_m": "of a circuit: reactance over angular frequency (loop), the other circuits as stated",
    "errors": "relative bounds: the true error is not larger",
    "impedance_ohm_per_m": "voltage along each conductor per current in each, with a common return at return_radius_m; "
    "null in a sweep of very many conductors, which a warning says",
    "force_n_per_m": "time average, [x, y]",
    "loss_ratio": "loss over the loss of the same net current as direct current",
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


def document(heading: Heading, found: Sequence[Answers], chapters: Sequence[Chapter] = ()) -> dict[str, Any]:
    """The whole results document, ready for JSON: finite numbers, text, lists, null."""
    largest = max(found, key=lambda a: a.unknowns)
    return {
        "format": FORMAT,
        "title": heading.title,
        "version": heading.version,
        "case_sha256": heading.case_sha256,
        "length_m": heading.length,
        "conventions": CONVENTIONS,
        "warnings": list(heading.warnings),
        "cautions": list(heading.cautions),
        "mesh": {
            "elements": largest.elements,
            "unknowns": largest.unknowns,
            "order": largest.order,
            "refinements": largest.refinements,
        },
        "points": [_point(a, heading.length) for a in found],
        **{chapter.key: {**chapter.record, "in_words": list(chapter.sentences)} for chapter in chapters},
    }


def as_json(heading: Heading, found: Sequence[Answers], chapters: Sequence[Chapter] = ()) -> str:
    """The results document as text."""
    return json.dumps(document(heading, found, chapters), indent=1, allow_nan=False, ensure_ascii=False) + "\n"


def _pair(value: complex) -> list[float]:
    return [float(value.real), float(value.imag)]


def _point(a: Answers, length: float | None) -> dict[str, Any]:
    totals = {} if length is None else {"total_loss_w": a.total_loss * length}
    return {
        "frequency_hz": a.frequency,
        "circuits": {name: _circuit(c, length) for name, c in a.circuits.items()},
        "conductors": {name: _conductor(c) for name, c in a.conductors.items()},
        "impedance_ohm_per_m": {
            "order": list(a.names),
            # a sweep of very many conductors knows them by circuits only
            "real": a.impedance.real.tolist() if np.isfinite(a.impedance).all() else None,
            "imag": a.impedance.imag.tolist() if np.isfinite(a.impedance).all() else None,
            "return_radius_m": a.return_radius,
        },
        "return_radius": a.return_radius,
        "total_loss_w_per_m": a.total_loss,
        "power_balance": a.power_balance,
        "mesh": {"elements": a.elements, "unknowns": a.unknowns, "order": a.order, "refinements": a.refinements},
        **totals,
    }


def _circuit(c: CircuitAnswer, length: float | None) -> dict[str, Any]:
    totals: dict[str, Any] = {}
    if length is not None:
        totals = {
            "total_resistance_ohm": None if c.resistance is None else c.resistance * length,
            "total_inductance_h": None if c.inductance is None else c.inductance * length,
            "total_voltage_v": _pair(c.voltage * length),
            "total_loss_w": c.loss * length,
        }
    return {
        "current_a": _pair(c.current),
        "voltage_v_per_m": _pair(c.voltage),
        "resistance_ohm_per_m": c.resistance,
        "resistance_error": c.resistance_error,
        "inductance_h_per_m": c.inductance,
        "inductance_error": c.inductance_error,
        "reactance_ohm_per_m": c.reactance,
        "dc_resistance_ohm_per_m": c.dc_resistance,
        "resistance_ratio": c.resistance_ratio,
        "loss_w_per_m": c.loss,
        **totals,
    }


def _conductor(c: ConductorAnswer) -> dict[str, Any]:
    return {
        "current_a": _pair(c.current),
        "loss_w_per_m": c.loss,
        "loss_error": c.loss_error,
        "dc_resistance_ohm_per_m": c.dc_resistance,
        "loss_ratio": c.loss_ratio,
        "skin_depth_m": c.skin_depth,
        "peak_current_density_a_per_m2": c.peak_current_density,
        "mean_current_density_a_per_m2": c.mean_current_density,
        "force_n_per_m": list(c.force),
        "force_error_n_per_m": c.force_error,
        "where": c.sentence,
        "roughness": None
        if c.roughness is None
        else {
            "rq_m": c.roughness.rq,
            "factor": c.roughness.factor,
            "factor_low": c.roughness.low,
            "factor_high": c.roughness.high,
        },
        "layers": {
            name: {"current_share": layer.current_share, "loss_share": layer.loss_share}
            for name, layer in c.layers.items()
        },
        "faces": {
            face.name: {"current_share": face.current_share, "loss_share": face.loss_share, "depth_m": face.depth}
            for face in c.faces
        },
    }


def as_csv(heading: Heading, found: Sequence[Answers]) -> str:
    """One row per frequency and circuit or conductor; complex figures as two columns, layers and faces left out."""
    rows: list[dict[str, Any]] = []
    for point in document(heading, found)["points"]:
        for kind in ("circuits", "conductors"):
            for name, figures in point[kind].items():
                row = {"frequency_hz": point["frequency_hz"], "kind": kind[:-1], "name": name}
                rows.append(row | _flat(figures))
    columns = list(dict.fromkeys(key for row in rows for key in row))
    out = io.StringIO()
    writer = csv.DictWriter(out, columns, lineterminator="\n")
    writer.writeheader()
    writer.writerows(rows)
    return out.getvalue()


def curve(found: Sequence[Answers], name: str, length: float | None = None) -> dict[str, npt.NDArray[np.float64]]:
    """The figures of a circuit or conductor over frequency, under the names of table.csv, for a run of a length [m].

    A circuit comes before a conductor of the same name; what is no number is left out, a figure that is missing at a
    frequency is nan.

    Raises
    ------
    KeyError
        There is neither a circuit nor a conductor of that name.
    """
    rows = []
    for a in found:
        figures = _circuit(a.circuits[name], length) if name in a.circuits else _conductor(a.conductors[name])
        rows.append({"frequency_hz": a.frequency} | _flat(figures))
    numbers = dict.fromkeys(key for row in rows for key, value in row.items() if isinstance(value, float))
    return {key: np.array([row[key] for row in rows], dtype=float) for key in numbers}


def _flat(figures: Mapping[str, Any]) -> dict[str, Any]:
    flat: dict[str, Any] = {}
    for key, value in figures.items():
        if isinstance(value, dict):
            continue
        if isinstance(value, list):
            ends = ("x", "y") if key.startswith("force") else ("re", "im")
            flat |= {f"{key}_{end}": part for end, part in zip(ends, value, strict=True)}
        else:
            flat[key] = value
    return flat
