"""Forms of the page, made from the models of the case file: tables with their keys, what each takes, an example."""

from __future__ import annotations

import re
from functools import cache

from crosscurrent.casefile.axial_checks import AXIAL
from crosscurrent.casefile.conductors_from_files import MODELS
from crosscurrent.casefile.keys import TABLE, Key, Topic, keys_of, topics
from crosscurrent.solver.metals.materials import MATERIALS

from .labels import in_titles, labels, title
from .words import Plain

TABLES = (
    "frequency", "limits", "cooling", "water", "voltage", "joint", "duty", "fault", "supports", "waveform", "field",
    "ladder", "slopes", "coil", "power", "tank", "heating", "circuit", "material", "prices", "vary", "study",
    "tolerance", "measured", "pictures", "accuracy", "report",
)  # fmt: skip
_CHOICE = re.compile(r'(?:"[^"]+"(?:, )?)*(?: or )?"[^"]+"')


@cache
def forms() -> Plain:
    """Tables of the case and dimensions of every shape, for a page.

    Examples
    --------
    >>> forms()["tables"]["limits"]["keys"][0]["label"], forms()["shapes"]["round"][:2]
    ('temperature of bare metal', ['diameter', 'name'])
    """
    common = {k.name for k in keys_of(MODELS["round"])} & {k.name for k in keys_of(MODELS["bar"])}
    shapes = {
        shape: [k.name for own in (True, False) for k in keys_of(model) if (k.name not in common) == own and k.sample]
        for shape, model in MODELS.items()
    }
    dimensions = {k.name: _key(k, "") for model in MODELS.values() for k in keys_of(model) if k.sample}
    tables = {name: _table(topics()[name]) for name in TABLES}
    return {"tables": tables, "shapes": shapes, "dimensions": dimensions, "metals": sorted(MATERIALS)}


def _table(topic: Topic) -> Plain:
    listed = topic.heading.startswith("[[")
    return {
        "heading": topic.heading, "title": title(topic.name), "meaning": in_titles(topic.meaning),
        "rows": "list" if listed else "names" if topic.heading.startswith(f"[{topic.name}.") else "",
        "axial": topic.name in AXIAL, "keys": [_key(k, topic.name) for k in topic.keys if k.sample],
    }  # fmt: skip


def _key(key: Key, table: str) -> Plain:
    """What a field of a form is made from; `takes` is "choice", "list", "text", "rows", "table" or "value"."""
    found: Plain = {
        "key": key.name, "label": labels(key.name, table), "sample": key.sample,
        "meaning": in_titles(key.meaning), "needed": key.needed, "apart": key.apart, "takes": _takes(key),
        "axial": key.meaning.startswith("round an axis"),
    }  # fmt: skip
    inside = topics().get(f"{table}.{key.name}") or topics().get(key.name)
    if found["takes"] in ("rows", "table"):
        if inside is None or " of " not in inside.heading:
            found["takes"] = "value"
        else:
            found["keys"] = [_key(k, "") for k in inside.keys]
    if found["takes"] == "choice":
        found["choices"] = re.findall(r'"([^"]+)"', key.kind) or ["true"]
    return found


def _takes(key: Key) -> str:
    if key.sample in ("true", "false") or _CHOICE.fullmatch(key.kind.strip().removeprefix("or ")):
        return "choice"
    if key.kind == "a list of tables in braces":
        return "rows"
    if key.kind == TABLE:
        return "table"
    if key.sample.startswith("["):
        return "list"
    return "text" if key.kind in ("text", "a name") else "value"
