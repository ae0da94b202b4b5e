"""The same case with other values of what can be varied."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from crosscurrent.solver.metals.materials import MATERIALS

from .case import Case, checked_case
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
    if not changes:
        return case
    data = as_written(case)
    known = {one.key: one for one in variables(case)}
    for key, value in changes.items():
        variable = known.get(key)
        path = variable.path if variable else _named(data, key, known)
        text = _text(value, variable)
        kept = isinstance(value, float) and variable is not None and variable.tolerance
        _put(data, path, with_tolerance_of(str(text), _at(data, path)) if kept else text)
    return checked_case(data, source=as_toml(data).encode(), path=case.path)


def _named(data: Tables, key: str, known: Mapping[str, Variable]) -> Path:
    """Where a name stands that is no quantity: a count, a metal."""
    names = data.get("named", {})
    if key in names:
        return ("named", key)
    near = nearest(key, (*known, *names))
    hint = f'did you mean "{near}"?' if near else 'say it in [named] and use its name, such as gap = "3 mm"'
    raise CaseError([Fault(None, "", "a value of the case", f'"{key}", which it does not have', hint)])


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
