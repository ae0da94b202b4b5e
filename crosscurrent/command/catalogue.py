"""The shapes a case file can name, as the models say: their keys, a sample of each and a small drawing."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from crosscurrent.casefile.conductors import ConductorTable
from crosscurrent.casefile.conductors_from_files import MODELS, FileConductor
from crosscurrent.casefile.keys import Key, keys_of


@dataclass(frozen=True)
class Entry:
    """A shape: what it is, its keys, the height of the sample [mm], a drawing of it and what it must keep to."""

    summary: str
    height: float
    keys: tuple[Key, ...]
    drawing: str
    of_file: bool = False  # whether it needs a file, which no new case can have
    rule: str = ""


def entry(model: type[ConductorTable]) -> Entry:
    """The entry of one model."""
    of_file = issubclass(model, FileConductor)
    own = tuple(key for key in keys_of(model) if key.name not in ConductorTable.model_fields)
    return Entry(model.summary, model.height_of_sample, own, model.drawing, of_file, model.rule)


COMMON_KEYS = tuple(ConductorTable.model_fields)
CATALOGUE: Mapping[str, Entry] = MappingProxyType({name: entry(model) for name, model in MODELS.items()})
