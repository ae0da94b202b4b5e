"""The same case with other values of what can be varied."""

from __future__ import annotations

import copy
import json
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from crosscurrent.solver.metals.materials import MATERIALS

from .case import Case, checked_case
from .conductors import ConductorTable
from .faults import CaseError, Fault
from .lines import Path
from .quantities import nearest, with_tolerance_of, write_quantity
from .variables import NUMBER, Tables, Variable, as_written, variables
from .written import as_toml

Value = float | int | str


def varied(case: Case, changes: Mapping[str, Value]) -> Case:
    """The case as it is where some of its values are others; all else stays as it was written, "+-" too.

    Parameters
    ----------
    case : Case
    changes : mapping of str to float, int or str
        By key of `variables`, or by a name of [named]: a float in SI units (degC, rad), else as a case file says it.
        By the name of a conductor: its other shape with all that belongs to it, as JSON.

    Raises
    ------
    CaseError
        A key that the case does not have, or values that make no sound case.

    Examples
    --------
    >>> from crosscurrent.api import case, circuit, conductor
    >>> rod = conductor("rod", "round", material="copper", diameter="25 mm")
    >>> one = case("rod", rod, circuit("feed", "1 A", out=["rod"]), at=["100 kHz"])
    >>> varied(one, {"rod.diameter": 0.03}).data.conductor[0].diameter
    0.03
    """
    return Varying.of(case).at(changes) if changes else case


@dataclass(frozen=True, eq=False)
class Varying:
    """A case whose values are varied again and again.

    Attributes
    ----------
    case : Case
    data : Tables
        As written.
    known : mapping of str to Variable
    """

    case: Case
    data: Tables
    known: Mapping[str, Variable]

    @classmethod
    def of(cls, case: Case) -> Varying:
        """Read once."""
        return cls(case, as_written(case), {one.key: one for one in variables(case)})

    def at(self, changes: Mapping[str, Value]) -> Case:
        """As `varied`."""
        data = copy.deepcopy(self.data)
        for key, value in changes.items():
            variable = self.known.get(key)
            if variable is None and (number := _conductor(data, key, value)) is not None:
                base = {k: v for k, v in data["conductor"][number].items() if k in ConductorTable.model_fields}
                data["conductor"][number] = base | json.loads(str(value))
                continue
            path = variable.path if variable else _named(data, key, self.known)
            text = _text(value, variable)
            kept = isinstance(value, float) and variable is not None and variable.tolerance
            _put(data, path, with_tolerance_of(str(text), _at(data, path)) if kept else text)
        return checked_case(data, source=as_toml(data).encode(), path=self.case.path)


def _named(data: Tables, key: str, known: Mapping[str, Variable]) -> Path:
    """Where a name stands that is no quantity: a count, a metal."""
    names = data.get("named", {})
    if key in names:
        return ("named", key)
    near = nearest(key, (*known, *names))
    hint = f'did you mean "{near}"?' if near else 'say it in [named] and use its name, such as gap = "3 mm"'
    raise CaseError([Fault(None, "", "a value of the case", f'"{key}", which it does not have', hint)])


def _conductor(data: Tables, key: str, value: Value) -> int | None:
    """Which conductor a value stands for as a whole."""
    if not is_conductor(value):
        return None
    return next((k for k, row in enumerate(data["conductor"]) if row["name"] == key), None)


def is_conductor(value: object) -> bool:
    """Whether a value is a whole conductor, as JSON.

    Examples
    --------
    >>> is_conductor('{"shape": "round", "diameter": "8 mm"}'), is_conductor("copper")
    (True, False)
    """
    return isinstance(value, str) and value.startswith("{")


def in_short(value: str) -> str:
    """A metal, or a whole conductor by its shape and what belongs to it.

    Examples
    --------
    >>> in_short('{"shape": "tube", "diameter": "14 mm", "wall": "1 mm"}'), in_short("copper")
    ('tube 14 mm, 1 mm', 'copper')
    """
    if not is_conductor(value):
        return value
    given = json.loads(value)
    return f"{given.pop('shape', 'as before')} {', '.join(str(one) for one in given.values())}".strip()


def _text(value: Value, variable: Variable | None) -> Value:
    if variable is None or variable.dimension == NUMBER or not isinstance(value, float):
        return value
    return write_quantity(value, variable.dimension)


def _at(data: Tables, path: Path) -> Any:
    """What stands at a place."""
    inner: Any = data
    for word in path:
        inner = inner[word]
    return inner


def _put(data: Tables, path: Path, value: Value) -> None:
    if path[0] == "material" and path[1] not in data.get("material", {}):
        data.setdefault("material", {})[path[1]] = _table_of(str(path[1]))
    _at(data, path[:-1])[path[-1]] = value


def _table_of(name: str) -> dict[str, Value]:
    """A built-in metal as [material.NAME] says one."""
    metal = MATERIALS[name]
    dimensions = {
        "conductivity": "conductivity",
        "reference": "temperature",
        "temperature_coefficient": "temperature coefficient",
        "density": "density",
        "thermal_conductivity": "thermal conductivity",
        "heat_capacity": "heat capacity",
    }
    known = {key: value for key in dimensions if (value := getattr(metal, key)) is not None}
    return {key: write_quantity(value, dimensions[key]) for key, value in known.items()} | {
        "permeability": metal.permeability
    }
