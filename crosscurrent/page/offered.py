"""Forms of the page, made from the models of the case file: tables with their keys, what each takes, an example."""

from __future__ import annotations

from functools import cache

from crosscurrent.casefile.conductors import BY_SHAPE
from crosscurrent.casefile.keys import Key, keys_of, topics
from crosscurrent.solver.metals.materials import MATERIALS

from .words import Plain

TABLES = (
    "frequency", "limits", "cooling", "water", "voltage", "joint", "duty", "fault", "supports", "waveform", "ladder",
    "slopes", "power", "accuracy", "report",
)  # fmt: skip


@cache
def forms() -> Plain:
    """Tables of the case and dimensions of every shape, for a page.

    Examples
    --------
    >>> forms()["tables"]["limits"]["keys"][0]["key"], forms()["shapes"]["round"][0]["key"]
    ('temperature_bare', 'diameter')
    """
    found = topics()
    tables = {
        name: {"heading": found[name].heading, "meaning": found[name].meaning, "keys": [_key(k) for k in _keys(name)]}
        for name in TABLES
    }
    common = {k.name for k in keys_of(BY_SHAPE["round"])} & {k.name for k in keys_of(BY_SHAPE["bar"])}
    shapes = {
        shape: [
            *(_key(k) for k in keys_of(model) if k.name not in common and k.sample),
            *(_key(k) for k in keys_of(model) if k.name in common and k.sample and k.name != "name"),
        ]
        for shape, model in BY_SHAPE.items()
    }
    return {"tables": tables, "shapes": shapes, "metals": sorted(MATERIALS)}


def _keys(name: str) -> tuple[Key, ...]:
    return tuple(key for key in topics()[name].keys if key.sample)


def _key(key: Key) -> Plain:
    return {"key": key.name, "sample": key.sample, "meaning": key.meaning, "needed": key.needed}
