"""The names of figures in the results document serve both ways and leave none out."""

import dataclasses

import pytest

from crosscurrent.postprocess.answers.answers import (
    Answers,
    CircuitAnswer,
    ConductorAnswer,
    FaceAnswer,
    LayerAnswer,
    RoughnessAnswer,
)
from crosscurrent.postprocess.answers.bundles import BundleLosses
from crosscurrent.postprocess.answers.slope_answers import CircuitSlope, ConductorSlope, SlopeAnswer
from crosscurrent.postprocess.files import figures
from crosscurrent.postprocess.files.figures import plain, read, written
from crosscurrent.solver.field.sequences import Sequences

# what stands elsewhere in the document than among the figures
ELSEWHERE = {
    CircuitAnswer: {"name", "turns"},
    ConductorAnswer: {"name", "layers", "faces", "roughness"},
    RoughnessAnswer: set(),
    LayerAnswer: set(),
    FaceAnswer: {"name"},
    Sequences: set(),
    SlopeAnswer: {"circuits", "conductors"},
    CircuitSlope: set(),
    ConductorSlope: set(),
    Answers: {
        "frequency", "circuits", "conductors", "names", "impedance", "circuit_impedance", "sequences", "slopes",
        "warnings", "bundles", "axial",
    },
    BundleLosses: {"name"},
}
TABLES = {
    CircuitAnswer: figures.CIRCUIT,
    ConductorAnswer: figures.CONDUCTOR,
    RoughnessAnswer: figures.ROUGHNESS,
    LayerAnswer: figures.LAYER,
    FaceAnswer: figures.FACE,
    Answers: figures.POINT | figures.MESH,
    Sequences: figures.SEQUENCES,
    SlopeAnswer: figures.SLOPE,
    CircuitSlope: figures.CIRCUIT_SLOPE,
    ConductorSlope: figures.CONDUCTOR_SLOPE,
    BundleLosses: figures.BUNDLE,
}


@pytest.mark.parametrize("answer", TABLES, ids=lambda answer: answer.__name__)
def test_no_field_is_left_out(answer):
    fields = {field.name for field in dataclasses.fields(answer)}
    assert set(TABLES[answer].values()) == fields - ELSEWHERE[answer]
    assert len(set(TABLES[answer].values())) == len(TABLES[answer])


def test_a_circuit_there_and_back():
    circuit = CircuitAnswer("feed", 3 + 4j, 0.1 - 0.2j, 1e-3, 1e-5, None, None, 2e-3, 1e-4, 10.0, 0.025)
    found = written(circuit, figures.CIRCUIT)
    assert found["current_a"] == [3.0, 4.0]
    assert found["inductance_h_per_m"] is None
    assert CircuitAnswer(name="feed", **read(found, figures.CIRCUIT)) == circuit


def test_vectors_and_phasors_are_told_apart_by_their_fields():
    assert plain((1.0, 2.0)) == [1.0, 2.0] == plain(1 + 2j)
    assert read({"force_n_per_m": [1.0, 2.0]}, {"force_n_per_m": "force"}) == {"force": (1.0, 2.0)}
    assert read({"current_a": [1.0, 2.0]}, {"current_a": "current"}) == {"current": 1 + 2j}
