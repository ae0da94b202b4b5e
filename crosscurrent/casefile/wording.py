"""What pydantic reports about a case, turned into faults a practitioner can act on."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from datetime import date, time
from typing import Any, get_args, get_origin

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from .conductors import CladTable, ConductorTable
from .conductors_from_files import MODELS
from .faults import Fault
from .lines import LineIndex, Path
from .loops import ArcTable
from .model import CaseData
from .named import DEFINE
from .names import value
from .quantities import kind, nearest
from .tables.frequency import SweepTable
from .tables.place import PlaceTable
from .tables.plating import PlatingTable
from .tables.repeat import RepeatTable
from .tables.stray_field import FieldLine, FieldPoint

EXAMPLES = {
    "name": 'name = "outgoing"',
    "shape": 'shape = "bar"',
    "file": 'file = "profile.dxf"',
    "width": 'width = "100 mm"',
    "height": 'height = "50 mm"',
    "thickness": 'thickness = "6 mm"',
    "diameter": 'diameter = "25 mm"',
    "wall": 'wall = "2 mm"',
    "points": 'points = [["0 mm", "0 mm"], ["10 mm", "0 mm"], ["0 mm", "5 mm"]]',
    "material": 'material = "copper"',
    "count": "count = 4",
    "step": 'step = ["0 mm", "12 mm"]',
    "current": 'current = "900 A"',
    "out": 'out = ["outgoing"]',
    "from": 'from = "50 Hz"',
    "to": 'to = "1 MHz"',
    "frequency": 'a table [frequency] with at = ["50 Hz"]',
    "conductor": "a table [[conductor]] for each conductor",
    "bulge": "bulge = 0.414, the tangent of a quarter of the arc's angle",
    "arc_to": 'arc_to = ["5 mm", "0 mm"]',
    "conductors": 'conductors = ["outgoing", "return"]',
    "inlet": 'inlet = "25 degC"',
    "circuit": 'circuit = "feed"',
    "strand_diameter": 'strand_diameter = "0.1 mm"',
    "duration": 'duration = "200 ms"',
    "resistance": 'resistance = "5 uohm"',
}
_EXAMPLES_INSIDE = {
    ("sweep", "points"): "points = 200",
    ("plated layer", "material"): 'material = "silver"',
    ("plated layer", "thickness"): 'thickness = "10 um"',
}
_PAIR_DEPTH = {"centre": 0, "step": 0, "arc_to": 0, "points": 1, "holes": 2}  # indices before x and y
_TWO = 'two coordinates, ["x", "y"]'
_PLACES: dict[str, tuple[str, type[BaseModel]]] = {
    "points": ("place of [field]", FieldPoint),
    "lines": ("line of [field]", FieldLine),
}
_TAGS = ("a point", "an arc")
FED = ("current", "phase")
FED_BY = {
    False: "write it under [[circuit]], which names its conductors",
    True: "write it under [[coil]], which names its turns; what is closed on itself, as a ring or a billet, takes no "
    "current from outside: write none, the results tell what is induced in it",
}
_CHOICES = {"sharing": '"free" if they share as their impedances say, "equal" if they are transposed or twisted'}


def _models(annotation: object) -> list[type[BaseModel]]:
    """The models inside a type: of dict, tuple, union."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return [annotation]
    return [model for inner in get_args(annotation) for model in _models(inner)]


_FIELDS = {name: field.annotation for name, field in CaseData.model_fields.items()}
_ROWS: dict[str | int, list[type[BaseModel]]] = {name: found for name, of in _FIELDS.items() if (found := _models(of))}
_NUMBERED = tuple(name for name in _ROWS if get_origin(_FIELDS[str(name)]) is tuple)
_NO_NOUNS = ("vary", "measured")
_TABLES = tuple(name for name in _ROWS if name not in (*_NUMBERED, "material"))


def locate(path: Path, data: object) -> tuple[str, str]:
    """Place and key of a path in the words of messages.

    Examples
    --------
    >>> locate(("conductor", 1, "centre", 0), {})
    ('conductor 2', 'centre x')
    """
    first, rest = path[0], path[1:]
    if first in _TABLES and rest:
        return str(first), key_words(rest)
    if first == "material" and rest:
        return f'material "{rest[0]}"', key_words(rest[1:])
    if first in _NUMBERED and rest:
        name = name_of(data, str(first), rest[0])
        return (f'{first} "{name}"' if name else f"{first} {int(rest[0]) + 1}"), key_words(rest[1:])
    return "", key_words(path)


def name_of(data: object, table: str, index: str | int) -> str:
    """The name of a conductor or circuit as written, or nothing when it has no usable one."""
    rows = data.get(table) if isinstance(data, Mapping) else None
    if not isinstance(rows, Sequence) or not isinstance(index, int) or index >= len(rows):
        return ""
    name = value(rows[index], "name")
    return name if isinstance(name, str) else ""


def article(noun: str) -> str:
    """The article before a noun: "an outline", "a bar"."""
    return "an" if noun[0] in "aeiou" else "a"


def key_words(path: Path) -> str:
    """A path inside a table: "plating 2 thickness", "points 3 x"."""
    words: list[str] = []
    budget: int | None = None
    for step in path:
        if isinstance(step, str):
            words.append(step)
            budget = _PAIR_DEPTH.get(step)
        elif budget == 0 and step < 2:
            words.append("xy"[step])
        else:
            words.append(str(step + 1))
            budget = budget - 1 if budget else None
    return " ".join(words)


def structural_faults(
    error: ValidationError, data: object, lines: LineIndex | None, prefix: Path = ()
) -> Iterator[Fault]:
    """One fault for each of pydantic's errors, whose paths begin at `prefix` of the case; of a name of [named] that is
    wrong wherever it is used, one, and of a word that is missing there.
    """
    items = [(_path((*prefix, *item["loc"]), item), item) for item in error.errors(include_url=False)]
    missing = {path for path, item in items if item["type"] == "missing"}
    meant = {_meant(path, data) for path, item in items if item["type"] == "extra_forbidden"} & missing
    named = data.get("named") if isinstance(data, Mapping) else None
    told: set[tuple[str, ...]] = set()
    undefined = Counter(item["input"] for _, item in items if _is_undefined(item))
    for path, item in items:
        if path in meant and item["type"] == "missing":
            continue  # it is there, misspelt
        expected, found, hint = words = _words(item, path, data)
        if isinstance(named, Mapping) and isinstance(item["input"], str) and item["input"] in named:
            if (item["input"], *words) in told:
                continue
            told.add((item["input"], *words))
        if _is_undefined(item):
            more = undefined.pop(item["input"], 0) - 1
            if more < 0:
                continue  # told where it stands first
            found += f", and so {more} time{'s' if more > 1 else ''} more" if more else ""
        place, key = locate(path, data)
        yield Fault(lines.line(path) if lines else None, key, expected, found, hint, place)


def _is_undefined(item: ErrorDetails) -> bool:
    """Whether a word stands where a figure is wanted, which [named] could define."""
    return item["type"] == "fault" and str(item["ctx"]["hint"]).endswith(DEFINE.format(item["input"]))


def _path(loc: Path, item: ErrorDetails) -> Path:
    """The path in the file: pydantic's own, without the names it adds for the member of a union."""
    in_loop = "points" in loc or "holes" in loc
    path = tuple(s for k, s in enumerate(loc) if not (in_loop and s in _TAGS and isinstance(loc[k - 1], int)))
    if len(path) > 2 and path[0] == "conductor" and path[2] in MODELS and isinstance(path[1], int):
        path = (*path[:2], *path[3:])
    if item["type"] in ("union_tag_invalid", "union_tag_not_found") and path[:1] == ("conductor",):
        return (*path, "shape")
    of_a_table = item.get("ctx", {}).get("key", "") if item["type"] == "fault" else ""
    return (*path, of_a_table) if of_a_table else path


def _words(item: ErrorDetails, path: Path, data: object) -> tuple[str, str, str]:
    """Expected, found, hint of one error."""
    key, found, context = path[-1], kind(item["input"]), item.get("ctx", {})
    match item["type"]:
        case "fault":
            return context["expected"], context["found"], context["hint"]
        case "missing" if isinstance(key, int):
            return _TWO, str(len(item["input"])), "write both, each with its unit"
        case "missing":
            return _missing(str(key), path, data)
        case "extra_forbidden":
            return _unknown_key(str(key), path, data)
        case "union_tag_not_found":
            near = nearest("shape", item["input"]) if isinstance(item["input"], Mapping) else None
            hint = f'did you mean "shape" by "{near}"?' if near else f"add {EXAMPLES['shape']}"
            return f"one of the shapes {', '.join(MODELS)}", "nothing", hint
        case "union_tag_invalid":
            return _unknown_shape(item["input"])
        case "literal_error":
            words = re.findall("'([^']*)'", context["expected"])
            near = nearest(str(item["input"]), words)
            hint = f'did you mean "{near}"?' if near else _CHOICES.get(str(key), "choose one of them")
            return " or ".join(f'"{word}"' for word in words), found, hint
        case "too_long":
            return _TWO, str(len(item["input"])), "a section is flat: leave the third out"
        case "string_type":
            plain = isinstance(item["input"], (int, float, date, time))
            example = EXAMPLES.get(str(key), 'one text, such as "feed"')
            hint = f'write "{item["input"]}"' if plain else f"write {example}"
            return "text in quotes", found, hint
        case "tuple_type":
            return _no_list(path, item["input"])
        case "bool_type" | "bool_parsing":
            return "true or false", found, "write true without quotes, or leave it out"
        case _ if len(path) == 1 and isinstance(item["input"], list) and item["input"]:
            return "a table", found, f"head it with single brackets: [{key}]"
        case _:
            return "a table", found, "write its keys in braces: { key = value, ... }"


def _meant(path: Path, data: object) -> Path:
    """The path with the key that an unknown one is most like."""
    near = nearest(str(path[-1]), _keys(_owner(path, data)[1]))
    return (*path[:-1], near or "")


def _keys(model: type[BaseModel]) -> list[str]:
    return [field.alias or name for name, field in model.model_fields.items()]


def _no_list(path: Path, found: object) -> tuple[str, str, str]:
    if path[-1] in _NUMBERED:
        return f"a list of {_noun(str(path[-1]))}s", kind(found), f"head each one with double brackets: [[{path[-1]}]]"
    if isinstance(path[-1], int) or path[-1] in ("centre", "step", "arc_to"):
        return _TWO, kind(found), 'for example ["0 mm", "3.5 mm"]'
    hint = f'write ["{found}"]' if isinstance(found, str) else "put brackets around what belongs there: [ ... ]"
    if isinstance(found, Mapping):
        hint = "put brackets around it: [{ ... }]"
    return "a list in square brackets", kind(found), hint


def _missing(key: str, path: Path, data: object) -> tuple[str, str, str]:
    example = _EXAMPLES_INSIDE.get((_owner(path, data)[0], key)) or EXAMPLES.get(key, key)
    return f"a value, which every {_owner(path, data)[0]} needs", "nothing", f"add {example}"


def _unknown_key(key: str, path: Path, data: object) -> tuple[str, str, str]:
    owner, model = _owner(path, data)
    words = _keys(model)
    expected, found = f"a key of {article(owner)} {owner}", "an unknown word"
    if issubclass(model, ConductorTable):
        others = [shape for shape, other in MODELS.items() if key in other.model_fields]
        own = [word for word in words if word not in ConductorTable.model_fields and word != "shape"]
        if others:
            found = f"a key of {article(others[0])} {' or '.join(others)}"
            return expected, found, f"the dimensions of {article(owner)} {owner} are {', '.join(own)}"
        if key in FED:
            return expected, "a key of a circuit or coil", FED_BY[value(data, "symmetry") == "axial"]
    near = nearest(key, words)
    return expected, found, f'did you mean "{near}"?' if near else f"its keys are {', '.join(words)}"


def _unknown_shape(conductor: object) -> tuple[str, str, str]:
    shape = conductor.get("shape") if isinstance(conductor, Mapping) else None
    known = ", ".join(MODELS)
    near = nearest(shape, MODELS) if isinstance(shape, str) else None
    hint = f'did you mean "{near}"?' if near else "`crosscurrent shapes` shows them"
    return f"one of the shapes {known}", kind(shape), hint


def _owner(path: Path, data: Any) -> tuple[str, type[BaseModel]]:
    """The table a key belongs to: its noun and its model."""
    inner: dict[str | int, tuple[str, type[BaseModel]]] = {
        "plating": ("plated layer", PlatingTable),
        "plating_inside": ("plated layer", PlatingTable),
        "clad": ("piece", CladTable),
        "place": ("place", PlaceTable),
        "repeat": ("repeat", RepeatTable),
        "sweep": ("sweep", SweepTable),
        "points": ("arc", ArcTable),
        "holes": ("arc", ArcTable),
    }
    if path[0] == "field" and path[1:2] and path[1] in _PLACES:
        return _PLACES[str(path[1])]
    for step in reversed(path[:-1]):
        if step in inner:
            return inner[step]
    if path[0] == "conductor" and len(path) > 1:
        shape = str(value(data["conductor"][path[1]], "shape"))
        return shape, MODELS[shape]
    if len(path) < 2:
        return "case", CaseData
    return _noun(str(path[0])), _ROWS[path[0]][0]


def _noun(table: str) -> str:
    """What to call one table of a kind: by its kind where each has a name of its own."""
    named = table == "material" or "name" in _ROWS[table][0].model_fields
    return table if named and table not in _NO_NOUNS else f"{table} table"
