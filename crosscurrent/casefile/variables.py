"""What of a case can be varied: every figure that it says, under a key of its own, once."""

from __future__ import annotations

import tomllib
import types
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Annotated, Any, Union, get_args, get_origin

from pydantic import BaseModel

from crosscurrent.solver.metals.materials import MATERIALS

from .case import Case
from .conductors import ConductorTable
from .entries import Permeability, PermeabilityLoss, Quantity
from .lines import Path
from .loops import ArcTable
from .quantities import parse, tolerance

Tables = dict[str, Any]  # of a case file, as tomllib gives them
NUMBER = "number"  # in place of a dimension, of what has no unit
_AXES = ("x", "y")
# what says nothing of the thing itself
_QUESTIONS = {"limits", "report", "pictures", "prices", "accuracy", "named", "vary", "study", "tolerance"}
_OF_METAL = ("conductivity", "temperature_coefficient", "permeability")
_PERMEABILITY = get_args(Permeability)[1], get_args(PermeabilityLoss)[1]


@dataclass(frozen=True)
class Variable:
    """A figure of a case.

    Attributes
    ----------
    key : str
        A name of [named]; else a conductor, circuit, metal or table and its key ("outgoing.thickness",
        "outgoing.centre.x", "outgoing.plating.1.thickness", "copper.conductivity").
    path : tuple of str or int
        Where it stands in the case file.
    value : float
        In SI units; temperatures in degC, angles in rad.
    dimension : str
        A key of `units.DIMENSIONS`, or `NUMBER`.
    tolerance : float
        What stands behind its "+-", in the same units; 0 where nothing does.
    """

    key: str
    path: Path
    value: float
    dimension: str
    tolerance: float = 0.0


def variables(case: Case) -> tuple[Variable, ...]:
    """Every figure that a case says, in its order, a name of [named] once; then its built-in metals.

    Examples
    --------
    >>> from crosscurrent.api import case, circuit, conductor
    >>> rod = conductor("rod", "round", material="copper", diameter="25 mm +- 0.1 mm")
    >>> one = case("rod", rod, circuit("feed", "1 A", out=["rod"]), at=["100 kHz"])
    >>> [(found.key, found.value) for found in variables(one)][:2]
    [('frequency.at.1', 100000.0), ('rod.diameter', 0.025)]
    """
    data = as_written(case)
    named = data.get("named", {})
    found: dict[str, Variable] = {}
    for path, written, dimension in _figures(type(case.data), data, ()):
        if isinstance(written, str) and written in named:
            path, written = ("named", written), named[written]
        key = _key(path, data)
        if key not in found:
            found[key] = _variable(key, path, written, dimension)
    return (*found.values(), *_built_in(case))


def as_written(case: Case) -> Tables:
    """The tables of a case as its file says them."""
    return tomllib.loads(case.source.decode("utf-8-sig"))


def _variable(key: str, path: Path, written: object, dimension: str) -> Variable:
    if isinstance(written, str):
        return Variable(key, path, parse(written, dimension), dimension, tolerance(written, dimension) or 0.0)
    return Variable(key, path, float(written), NUMBER)  # type: ignore[arg-type]


def _figures(model: type[BaseModel], table: Tables, path: Path) -> Iterator[tuple[Path, object, str]]:
    """Place, text and dimension of every quantity of a table and of those inside it."""
    for name, field in model.model_fields.items():
        key = field.alias or name
        if key in table and (path or key not in _QUESTIONS):
            annotation = Annotated[(field.annotation, *field.metadata)] if field.metadata else field.annotation
            yield from _of(annotation, table[key], (*path, key))


def _of(annotation: object, written: object, path: Path) -> Iterator[tuple[Path, object, str]]:
    arguments, origin = get_args(annotation), get_origin(annotation)
    if origin is Annotated:
        for one in arguments[1:]:
            if isinstance(one, Quantity):
                yield path, written, one.dimension
                return
            if any(one is known for known in _PERMEABILITY):
                yield path, written, NUMBER
                return
        yield from _of(arguments[0], written, path)
    elif origin in (Union, types.UnionType):
        yield from _of(_member(arguments, written), written, path)
    elif origin is tuple and isinstance(written, list):
        for k, entry in enumerate(written):
            yield from _of(arguments[0] if arguments[-1] is ... else arguments[k], entry, (*path, k))
    elif origin is dict and isinstance(written, dict):
        for key, entry in written.items():
            yield from _of(arguments[1], entry, (*path, key))
    elif isinstance(annotation, type) and issubclass(annotation, BaseModel) and isinstance(written, dict):
        yield from _figures(annotation, written, path)


def _member(arguments: tuple[object, ...], written: object) -> object:
    """Of several types the one that was written: a conductor of a shape, an arc or a point, what is there or not."""
    known = [one for one in arguments if one is not type(None)]
    if isinstance(written, dict) and (shapes := {_shape(one): one for one in known if _shape(one)}):
        return shapes[written["shape"]]
    if len(known) > 1 and {ArcTable} & set(map(_bare, known)):
        return next(one for one in known if (_bare(one) is ArcTable) == isinstance(written, dict))
    return known[0]


def _shape(model: object) -> str:
    """What the case file calls the shape of a conductor's model; empty for all else."""
    if not isinstance(model, type) or not issubclass(model, ConductorTable):
        return ""
    return str(get_args(model.model_fields["shape"].annotation)[0])


def _bare(annotation: object) -> object:
    return get_args(annotation)[0] if get_origin(annotation) is Annotated else annotation


def _key(path: Path, data: Tables) -> str:
    """What users call a place of a case file."""
    table, *rest = path
    words: list[str | int] = [table, *rest]
    if table in ("named", "material"):
        words = list(rest)
    elif isinstance(data[str(table)], list):
        row = data[str(table)][rest[0]]
        words = [row.get("name", f"{table}.{int(rest[0]) + 1}"), *rest[1:]]
    pair = isinstance(words[-1], int) and words[-2] in ("centre", "offset", "step", "arc_to")
    if pair or (isinstance(words[-1], int) and len(words) > 2 and isinstance(words[-2], int)):
        words[-1] = _AXES[int(words[-1])]
    return ".".join(str(word + 1) if isinstance(word, int) else word for word in words)


def _built_in(case: Case) -> Iterator[Variable]:
    """What the built-in metals of a case are said to have."""
    used = {metal.name: metal for conductor in case.problem().conductors for metal in conductor.metals}
    for name in sorted(used.keys() & MATERIALS.keys() - case.data.material.keys()):
        for key in _OF_METAL:
            value = getattr(MATERIALS[name], key)
            dimension = {"conductivity": key, "permeability": NUMBER}.get(key, "temperature coefficient")
            yield Variable(f"{name}.{key}", ("material", name, key), float(value), dimension)
