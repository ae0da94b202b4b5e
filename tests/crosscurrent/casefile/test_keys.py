"""What the models say of their keys: each is described, each sample is read, each example runs in a whole case."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from typing import Annotated, Any, get_args

import pytest
from pydantic import BaseModel, TypeAdapter

from crosscurrent.casefile.axial_checks import AXIAL
from crosscurrent.casefile.case import checked_case
from crosscurrent.casefile.conductors_from_files import MODELS
from crosscurrent.casefile.entries import Sample
from crosscurrent.casefile.keys import ALL, Key, key_line, keys_of, topics
from crosscurrent.casefile.loops import ArcTable
from crosscurrent.casefile.model import CaseData
from crosscurrent.casefile.tables.fault import FaultTable
from crosscurrent.casefile.tables.water import WaterTable
from crosscurrent.command.new_text import FURTHER
from crosscurrent.run import solve_case

# A pair in which every example fits; the table that an example shows takes its own's place.
ROD = """
[[conductor]]
name = "{}"
shape = "round"
diameter = "10 mm"
material = "copper"
centre = ["0 mm", "{} mm"]
"""
WHOLE = {
    "case": 'title = "Pair"\nlength = "2.4 m"\n',
    "frequency": '[frequency]\nat = ["50 Hz"]\n',
    "accuracy": '[accuracy]\nresistance = "5 %"\n',
    "conductor": ROD.format("outgoing", 0),
    "return": ROD.format("return", -40),
    "circuit": '[[circuit]]\nname = "feed"\ncurrent = "100 A"\nout = ["outgoing*"]\nback = ["return"]\n',
}
ROUND = {
    "case": 'symmetry = "axial"\n',
    "frequency": '[frequency]\nat = ["5 kHz"]\n',
    "accuracy": '[accuracy]\nresistance = "5 %"\n',
    "billet": ROD.format("billet", 0).replace('"round"', '"bar"\nwidth = "30 mm"').replace("diameter", "thickness"),
    "turn": ROD.format("turn", 0).replace('"0 mm", "0 mm"', '"30 mm", "-7 mm"')
    + 'repeat = { count = 2, step = ["0 mm", "14 mm"] }\n',
    "coil": topics()["coil"].example,
}
ROUND_AXIS = (*AXIAL, "over_temperature")  # topics of sections round an axis
STARTED = [topics()[name].example for name in FURTHER if name in topics() and topics()[name].heading.startswith("[")]


def models(model: type[BaseModel] = CaseData) -> Iterator[type[BaseModel]]:
    """Every table that can stand in a case file."""
    yield model
    for field in model.model_fields.values():
        for inner in inside(field.annotation):
            yield from models(inner)


def inside(annotation: Any) -> list[type[BaseModel]]:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return [annotation]
    return [model for inner in get_args(annotation) for model in inside(inner)]


EVERY = [model for model in dict.fromkeys(models()) if model is not ArcTable]  # which the kind of `points` shows


@pytest.mark.parametrize("model", EVERY, ids=lambda model: model.__name__)
def test_every_key_is_described_and_its_sample_is_read(model: type[BaseModel]) -> None:
    for name, field in model.model_fields.items():
        if name == "shape" and model in MODELS.values():
            continue  # the name of the shape itself
        (sample,) = (one for one in field.metadata if isinstance(one, Sample))
        assert sample.meaning, name
        if sample.text:
            written = tomllib.loads(f"x = {sample.text}")["x"]
            TypeAdapter(Annotated[field.annotation, *field.metadata]).validate_python(written)


def test_a_key_is_what_its_model_says() -> None:
    keys = {key.name: key for key in keys_of(WaterTable)}
    assert keys["inlet"] == Key("inlet", '"25 degC"', "of the water that comes in", "a temperature", "temperature")
    assert (keys["bends"].default, keys["bends"].needed, keys["bends"].optional) == ("0", False, True)
    assert (keys["outlet_pressure"].default, keys["joined"].kind) == ('"1 bar"', '"series" or "parallel"')
    assert [key.name for key in keys.values() if key.apart] == ["pressure_drop"]
    assert {key.name: key.kind for key in keys_of(FaultTable)}["form"] == '"offset", "half-sine" or "step"'


def test_a_key_of_one_word_takes_that_word() -> None:
    (orders,) = (key for key in topics()["vary"].keys if key.name == "orders")
    assert orders.kind == '"all"'


def test_topics_are_the_tables_of_the_model() -> None:
    found = topics()
    assert found[ALL].heading == ""
    assert [key.name for key in found[ALL].keys] == ["title", "symmetry", "length", "ambient"]
    tables = {name for name in CaseData.model_fields if name not in ("title", "symmetry", "length", "ambient")}
    assert tables <= found.keys()
    inside = {"sweep", "repeat", "place", "plating", "clad", "harmonics", "points", "lines", "over_temperature"}
    assert inside == found.keys() - tables - {ALL, "plating_inside", "measured.accuracy"}
    assert [key.name for key in found["accuracy"].keys] == ["resistance", "roughness"]  # not that of a meter
    assert found["material"].heading == "[material.my-alloy]"
    assert found["sweep"].heading == "sweep of [frequency]"
    assert "sweep" not in found["frequency"].example
    assert "sweep = {" in found["sweep"].example


def test_a_long_line_has_its_meaning_above() -> None:
    assert key_line(Key("a", "1", "one")) == "a = 1                        # one\n"
    assert key_line(Key("a", "1" * 60, "ones")) == f"# ones:\na = {'1' * 60}\n"


# those of the further tables run where new cases start with them: tests/crosscurrent/command/test_new_text.py
EXAMPLES = [name for name, topic in topics().items() if topic.example not in STARTED]


@pytest.mark.parametrize("name", ROUND_AXIS)
def test_every_example_of_a_section_round_an_axis_runs_in_one(name: str) -> None:
    text = "\n".join({**ROUND, name: topics()[name].example}.values()).replace("fields = 5", "fields = 1")
    result = solve_case(checked_case(tomllib.loads(text.replace('"5 min"', '"20 s"'))))
    assert result["work"].loss > 0
    chapter = {"coil": "coils", "power": "work pieces", "over_temperature": "heating"}.get(name, name)
    assert chapter in {c.key.replace("_", " ") for c in result.chapters}


@pytest.mark.parametrize("name", [name for name in EXAMPLES if name not in ROUND_AXIS])
def test_every_example_runs_in_a_whole_case(name: str) -> None:
    topic = topics()[name]
    owner = re.sub(r".*\[|\].*|\..*", "", topic.heading) or ALL
    text = "\n".join({**WHOLE, owner: topic.example}.values())
    if name == "named":  # a name has to be used
        text = text.replace('centre = ["0 mm", "-40 mm"]', 'place = { below = "outgoing", gap = "gap" }')
    result = solve_case(checked_case(tomllib.loads(text.replace("points = 40", "points = 3"))))
    assert result["feed"].loss > 0


@pytest.mark.parametrize(("topic", "key"), [("coil", "shorted"), ("conductor", "closed"), ("tank", "empty")])
def test_a_switch_takes_true_or_false(topic: str, key: str) -> None:
    assert [k.kind for k in topics()[topic].keys if k.name == key] == ["true or false"]
