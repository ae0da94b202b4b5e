"""The first screen in the results document: written and read back."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from crosscurrent.geometries.plane.neighbours import Neighbours
from crosscurrent.postprocess.answers.chapter import CircuitBand, Json
from crosscurrent.postprocess.answers.summary import (
    CircuitSummary,
    HeatedPieces,
    HoldingCurrent,
    Hottest,
    SectionLoss,
    SharedConductor,
    Summary,
    lines,
)

from .figures import plain, read, written

TOP = {
    "verdict": "verdict",
    "verdict_in_words": "verdict_words",
    "runs_away": "runs_away",
    "temperature_low_degc": "temperature_low",
    "temperature_high_degc": "temperature_high",
    "temperature_not_stated": "taken",
    "worst_warning": "worst_warning",
    "warnings": "warnings",
}
AXIAL = {"symmetry": "axial"}
LOSS = {"of": "of", "loss_w_per_m": "loss", "error_w_per_m": "error", "total_loss_w": "total"}
HOTTEST = {
    "conductor": "conductor",
    "temperature_degc": "temperature",
    "error_k": "error",
    "load": "load",
    "stated_degc": "stated",
}
HOLDS = {"limit_degc": "limit", "factor_on_currents": "factor", "duty": "duty"}
CIRCUIT = {
    "name": "name",
    "frequency_hz": "frequency",
    "current_a": "size",
    "resistance_ohm_per_m": "resistance",
    "resistance_error": "resistance_error",
    "resistance_ratio": "resistance_ratio",
    "resistance_of": "resistance_of",
    "inductance_h_per_m": "inductance",
    "inductance_error": "inductance_error",
    "drop_v_per_m": "drop",
    "temperature_low_degc": "temperature_low",
    "temperature_high_degc": "temperature_high",
    "resistance_as_laid_ohm_per_m": "resistance_as_laid",
}
SHARED = {"name": "name", "circuits": "circuits", "current_a": "size", "loss_w_per_m": "loss",
          "error_w_per_m": "error", "load": "of"}  # fmt: skip
BAND = {
    "circuit": "name",
    "frequency_hz": "frequency",
    "resistance_low_ohm_per_m": "resistance_low",
    "resistance_high_ohm_per_m": "resistance_high",
    "resistance_most_from": "resistance_most",
    "inductance_low_h_per_m": "inductance_low",
    "inductance_high_h_per_m": "inductance_high",
    "inductance_most_from": "inductance_most",
    "at_terminals": "terminal",
}
HEATED = {
    "conductors": "names",
    "frequency_hz": "frequency",
    "power_into_pieces_w": "power",
    "power_into_pieces_error_w": "power_error",
    "efficiency": "efficiency",
    "efficiency_error": "efficiency_error",
}
GAP = {"one": "one", "other": "other", "gap_m": "gap", "face_m": "face", "around": "around"}


def summary_record(s: Summary) -> dict[str, Json]:
    """For results.json, in the order of the first screen."""
    governing = s.losses[0]
    return {
        **written(s, TOP),
        **(AXIAL if s.axial else {}),
        **({"heated": written(s.heated, HEATED)} if s.heated else {}),
        "total_loss_w_per_m": governing.loss,
        "total_loss_w": governing.total,
        "losses": [written(one, LOSS) for one in s.losses],
        "hottest": None if s.hottest is None else written(s.hottest, HOTTEST),
        **({"heating": written(s.heating, HOTTEST)} if s.heating else {}),
        "holds": [{**written(one, HOLDS), "currents_a": dict(one.currents)} for one in s.holds],
        "circuits": [written(one, CIRCUIT) for one in s.circuits],
        "shared": [written(one, SHARED) for one in s.shared],
        "sequence_impedance_ohm_per_m": {name: plain(z) for name, z in s.sequences.items()},
        "gaps": [written(one, GAP) for one in s.gaps],
        "bands": [written(one, BAND) for one in s.bands],
        "in_words": list(lines(s)),
    }


def read_summary(found: Mapping[str, Any]) -> Summary:
    """As `summary_record` left it."""
    hottest = found["hottest"]
    return Summary(
        **read(found, TOP),
        axial="symmetry" in found,
        heated=HeatedPieces(**read(found["heated"], HEATED)) if "heated" in found else None,
        heating=Hottest(**read(found["heating"], HOTTEST)) if "heating" in found else None,
        losses=tuple(SectionLoss(**read(one, LOSS)) for one in found["losses"]),
        hottest=None if hottest is None else Hottest(**read(hottest, HOTTEST)),
        holds=tuple(HoldingCurrent(**read(one, HOLDS), currents=one["currents_a"]) for one in found["holds"]),
        circuits=tuple(CircuitSummary(**read(one, CIRCUIT)) for one in found["circuits"]),
        shared=tuple(SharedConductor(**read(one, SHARED)) for one in found["shared"]),
        sequences={name: complex(*z) for name, z in found["sequence_impedance_ohm_per_m"].items()},
        gaps=tuple(Neighbours(**read(one, GAP)) for one in found["gaps"]),
        bands=tuple(CircuitBand(**read(one, BAND)) for one in found["bands"]),
    )
