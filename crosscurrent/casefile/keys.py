"""What a case file may say, read off the models: its tables, their keys, what each takes, and an example of each."""

from __future__ import annotations

import types
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cache
from types import MappingProxyType
from typing import Annotated, Any, Literal, Union, get_args, get_origin

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from .conductors import BY_SHAPE, ConductorTable
from .entries import BareNumber, Kind, OwnName, Quantity, Sample
from .model import CaseData
from .units import DIMENSIONS
from .written import as_toml

ALL = "case"  # name of the topic that holds the keys outside of all tables
TABLE = "a table in braces"


@dataclass(frozen=True)
class Key:
    """A key of a table.

    Attributes
    ----------
    name : str
    sample : str
        A value as it stands in a case file; empty for a table.
    meaning : str
    kind : str
        What it takes: "a length", "text", ...
    dimension : str
        Of a quantity: a key of `units.DIMENSIONS`; else empty.
    default : str
        As it stands in a case file; empty where there is none.
    needed, apart : bool
        Whether it must be there; whether it stands in no example together with all others.
    """

    name: str
    sample: str
    meaning: str
    kind: str = ""
    dimension: str = ""
    default: str = ""
    needed: bool = True
    apart: bool = False

    @property
    def optional(self) -> bool:
        """Whether it may be left out."""
        return not self.needed


@dataclass(frozen=True)
class Topic:
    """A table of the case file, or one inside of another: what it is for, its keys, an example to copy."""

    name: str
    heading: str
    meaning: str
    keys: tuple[Key, ...]
    example: str


def keys_of(model: type[BaseModel]) -> tuple[Key, ...]:
    """The keys of a table that say what they mean."""
    return tuple(_keys(model))


def _keys(model: type[BaseModel]) -> Iterator[Key]:
    defaults = model.model_construct().model_dump(mode="json")
    for name, field in model.model_fields.items():
        if sample := _said(field, Sample):
            takes = _kind(field.annotation, tuple(field.metadata))
            told = field.alias or name, sample.text, sample.meaning
            yield Key(*told, *takes, _written(defaults.get(name)), field.is_required(), sample.apart)


def _said(field: FieldInfo, kind: type[Any]) -> Any:
    return next((one for one in field.metadata if isinstance(one, kind)), None)


def _kind(annotation: Any, metadata: tuple[object, ...] = ()) -> tuple[str, str]:
    """What a type takes, and the dimension of its quantities."""
    for one in metadata:
        if isinstance(one, Kind):
            return one.words, one.dimension
        if isinstance(one, BareNumber):
            return one.expected, ""
        if isinstance(one, Quantity):
            total = f", round an axis {DIMENSIONS[one.in_total].noun}" if one.in_total else ""
            return DIMENSIONS[one.dimension].noun + total, one.dimension
    arguments = get_args(annotation)
    match get_origin(annotation):
        case origin if origin is Annotated:
            return _kind(arguments[0], arguments[1:])
        case origin if origin is Literal:
            *first, last = (f'"{word}"' for word in arguments)
            return " or ".join(filter(None, (", ".join(first), last))), ""
        case origin if origin in (Union, types.UnionType):
            return _kind(next(inner for inner in arguments if inner is not type(None)))
        case origin if origin is tuple:
            words, dimension = _kind(arguments[0])
            many = f"a list of {len(arguments)}" if arguments[-1] is not ... else "a list"
            return ("a list of tables in braces" if words == TABLE else f"{many}, each {words}"), dimension
    if annotation is bool:
        return "true or false", ""
    return (TABLE if isinstance(annotation, type) and issubclass(annotation, BaseModel) else "text"), ""


def _written(default: object) -> str:
    """A default as it stands in a case file; empty where nothing stands there."""
    if default in (None, [], {}, "") or isinstance(default, dict):
        return ""
    plain = int(default) if isinstance(default, float) and default.is_integer() else default
    return as_toml({"x": plain}).removeprefix("x = ").rstrip()


@cache
def topics() -> Mapping[str, Topic]:
    """Every topic by its name: the keys outside of all tables, then each table, and after it those inside it."""
    found = {ALL: Topic(ALL, "", "title, length and ambient, before the first table", _plain(), _lines(_plain()))}
    for name, field in CaseData.model_fields.items():
        if (meaning := _said(field, Sample)) and not meaning.text:
            first, *inside = _topics(name, field, meaning.meaning)
            apart = (replace(t, name=f"{name}.{t.name}") if t.name in CaseData.model_fields else t for t in inside)
            found |= {topic.name: topic for topic in (first, *apart)}
    return MappingProxyType(found)


def _plain() -> tuple[Key, ...]:
    return tuple(key for key in keys_of(CaseData) if key.sample)


def _topics(name: str, field: FieldInfo, meaning: str) -> Iterator[Topic]:
    """A table of the file and the tables inside it."""
    model, own = _model(field.annotation), _said(field, OwnName)
    conductor = model is not None and issubclass(model, ConductorTable)
    model = ConductorTable if conductor else model  # what all shapes have in common
    keys = (_named(own, field),) if model is None else keys_of(model)  # no model: a name and its value
    shown = _shaped("bar") if conductor else keys
    named = f"{name}.{own.text}" if own and model else name
    heading = f"[[{name}]]" if get_origin(field.annotation) is tuple else f"[{named}]"
    yield Topic(name, heading, meaning, keys, f"{heading}\n{_lines(shown)}")
    for inner, of in (model.model_fields if model else {}).items():
        table, sample = _model(of.annotation), _said(of, Sample)
        if table is not None and sample:
            hollow = inner == "plating_inside"
            listed = tuple(key for key in shown if inner != "place" or key.name != "centre")  # one or the other
            example = f"{heading}\n{_lines(_shaped('tube') if hollow else listed, inner)}"
            yield Topic(inner, f"{inner} of {heading}", sample.meaning, keys_of(table), example)


def _named(own: OwnName, field: FieldInfo) -> Key:
    """The one key of a table whose keys are names of the user's own."""
    table = next(inner for inner in (field.annotation, *get_args(field.annotation)) if get_origin(inner) is dict)
    metadata = get_args(get_args(table)[1])[1:]
    sample = next(one for one in metadata if isinstance(one, Sample))
    return Key(own.text, sample.text, sample.meaning, *_kind(float, metadata), needed=False)


def _shaped(shape: str) -> tuple[Key, ...]:
    """The keys of a conductor of a shape with its dimensions, in the order of an example."""
    model, common = BY_SHAPE[shape], len(ConductorTable.model_fields)
    name, *rest = keys_of(model)
    word = Key("shape", f'"{shape}"', "its dimensions follow; see crosscurrent shapes")
    return (name, word, *rest[common - 1 :], *rest[: common - 1])


def _model(annotation: Any) -> type[BaseModel] | None:
    """The table inside a type: of a list, of a dictionary, of something that may be left out."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    return next((model for inner in get_args(annotation) if (model := _model(inner))), None)


def _lines(keys: tuple[Key, ...], also: str = "") -> str:
    """Keys with a sample and the meaning of each, as they stand in a case file; of those apart the one named only."""
    return "".join(key_line(key) for key in keys if not key.apart or key.name == also)


def key_line(key: Key) -> str:
    """A key with its sample and, behind it or above it, its meaning."""
    value = f"{key.name} = {key.sample}"
    return f"{value:<28} # {key.meaning}\n" if len(value) < 60 else f"# {key.meaning}:\n{value}\n"
