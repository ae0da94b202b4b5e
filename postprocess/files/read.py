"""The results document read back: answers and chapters, without their fields."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np

from crosscurrent.geometries.arrays import ComplexArray
from crosscurrent.geometries.errors import CrosscurrentError
from crosscurrent.geometries.ordinary_file import ordinary_bytes
from crosscurrent.postprocess.answers.answers import (
    Answers,
    CircuitAnswer,
    ConductorAnswer,
    FaceAnswer,
    LayerAnswer,
    RoughnessAnswer,
)
from crosscurrent.postprocess.answers.axial_names import plane_names
from crosscurrent.postprocess.answers.bundles import BundleLosses
from crosscurrent.postprocess.answers.chapter import Chapter
from crosscurrent.postprocess.answers.slope_answers import CircuitSlope, ConductorSlope, SlopeAnswer
from crosscurrent.solver.field.sequences import Sequences

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
    Json,
    read,
)
from .results import FORMAT, Heading
from .summary import read_summary

MOST_BYTES = 1_000_000_000
OWN = (
    "format", "symmetry", "title", "version", "case_sha256", "length_m", "summary", "conventions", "warnings",
    "cautions", "mesh", "points",
)  # fmt: skip


class ResultsError(CrosscurrentError, ValueError):
    """A file that is no results document."""


def read_results(folder: Path) -> tuple[Heading, tuple[Answers, ...], tuple[Chapter, ...]]:
    """What a run left in a folder.

    Raises
    ------
    ResultsError
        There is no results.json, or none of this format.
    """
    path = folder / "results.json"
    try:
        text = ordinary_bytes(path, MOST_BYTES, "solve fewer frequencies at once").decode()
    except (OSError, ValueError):
        raise ResultsError(f"{path}: expected the results of a run, found none that can be read") from None
    return read_document(text, str(path))


def read_document(text: str, name: str) -> tuple[Heading, tuple[Answers, ...], tuple[Chapter, ...]]:
    """What a results document says; `name` is that of its file, for messages.

    Chapters come with their records and sentences; tables, pictures and files are not in the document.

    Raises
    ------
    ResultsError
        The text is no results document of this format.
    """
    try:
        found = json.loads(text)
    except json.JSONDecodeError as error:
        raise ResultsError(f"{name}: expected a results document (JSON), found {error}") from None
    if not isinstance(found, dict) or found.get("format") != FORMAT:
        what = found.get("format") if isinstance(found, dict) else "something else"
        raise ResultsError(f'{name}: expected results of the format "{FORMAT}", found {what!r}; run the case again')
    axial, summary = found.get("symmetry") == "axial", found.get("summary")
    heading = Heading(
        found["title"], found["version"], found["case_sha256"], found["length_m"], tuple(found["warnings"]),
        tuple(found["cautions"]), read_summary(plane_names(summary) if axial else summary) if summary else None,
    )  # fmt: skip
    points = tuple(_answers(_plane(point) if axial else point, axial=axial) for point in found["points"])
    return heading, points, tuple(_chapter(key, record) for key, record in found.items() if key not in OWN)


def _chapter(key: str, found: Json) -> Chapter:
    record = {name: value for name, value in found.items() if name != "in_words"}
    return Chapter(key, key.replace("_", " "), record, sentences=tuple(found["in_words"]))


def _plane(point: Json) -> Json:
    """A point of a section round an axis under the names of a straight run."""
    return {**plane_names(point), "total_loss_w_per_m": point["total_loss_w"]}


def _answers(p: Json, *, axial: bool = False) -> Answers:
    bundles = {name: BundleLosses(name=name, **read(b, BUNDLE)) for name, b in p.get("bundles", {}).items()}
    sums = {name for name, bundle in bundles.items() if bundle.is_resolved}  # of conductors that are there too
    z, turning = p["impedance_ohm_per_m"], p.get("sequence_impedance_ohm_per_m")
    return Answers(
        frequency=p["frequency_hz"],
        circuits={
            name: CircuitAnswer(name=name, **read(c, CIRCUIT), turns=c.get("turns", 1))
            for name, c in p["circuits"].items()
        },
        conductors={name: _conductor(name, c) for name, c in p["conductors"].items() if name not in sums},
        names=tuple(z["order"]),
        impedance=_matrix(z),
        **read(p, POINT),
        **read(p["mesh"], MESH),
        circuit_impedance=_matrix(p.get("circuit_impedance_ohm_per_m")),
        sequences=Sequences(**read(turning, SEQUENCES)) if turning else None,
        slopes=tuple(_slope(one) for one in p.get("slopes", ())),
        bundles=bundles,
        axial=axial,
    )


def _slope(found: Json) -> SlopeAnswer:
    circuits = {name: CircuitSlope(**read(c, CIRCUIT_SLOPE)) for name, c in found["circuits"].items()}
    alone = {name: ConductorSlope(**read(c, CONDUCTOR_SLOPE)) for name, c in found.get("conductors", {}).items()}
    return SlopeAnswer(**read(found, SLOPE), circuits=circuits, conductors=alone)


def _matrix(z: Json | None) -> ComplexArray | None:
    return None if z is None or z["real"] is None else np.array(z["real"]) + 1j * np.array(z["imag"])


def _conductor(name: str, c: Json) -> ConductorAnswer:
    return ConductorAnswer(
        name=name,
        **read(c, CONDUCTOR),
        layers={metal: LayerAnswer(**read(f, LAYER)) for metal, f in c["layers"].items()},
        faces=tuple(FaceAnswer(name=face, **read(f, FACE)) for face, f in c["faces"].items()),
        roughness=c["roughness"] and RoughnessAnswer(**read(c["roughness"], ROUGHNESS)),
    )
