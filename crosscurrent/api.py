"""A case made in Python, in the words of the case file and through the same checks.

Quantities are text with a unit here too; an argument left out has the case file's default.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Literal, Never, TypeVar, Unpack, get_origin

from pydantic import TypeAdapter, ValidationError

from crosscurrent.casefile.case import Case, checked_case
from crosscurrent.casefile.checks import shape_faults
from crosscurrent.casefile.conductors import ConductorTable
from crosscurrent.casefile.draft import CIRCUIT, COIL, CONDUCTOR, Draft
from crosscurrent.casefile.faults import CaseError, Fault
from crosscurrent.casefile.model import CaseData
from crosscurrent.casefile.tables.circuit import CircuitTable
from crosscurrent.casefile.tables.coil import CoilTable
from crosscurrent.casefile.wording import structural_faults

from .conductor_keys import ConductorKeys

M = TypeVar("M")
Plain = Mapping[str, object]
WORD = re.compile(r'"[^\W\d][\w-]*"')  # quoted, as a name of [named] is
NAMES = 'names of [named] stand in plain tables, such as {"name": "rod", "shape": "round", "diameter": "size"}'
# tables that `case` takes under another name, and those a case may have several of
OWN = {"conductor": "conductors", "circuit": "circuits", "material": "materials", "frequency": "at or sweep"}
LISTS = {name for name, field in CaseData.model_fields.items() if get_origin(field.annotation) is tuple}


def conductor(name: str, shape: str, **keys: Unpack[ConductorKeys]) -> ConductorTable:
    """A conductor; each shape takes its own dimensions.

    Parameters
    ----------
    name : str
    shape : str
        "bar", "round", "tube", "box", "angle", "channel", "outline", "drawing" or "mesh".
    material : str
        A built-in material or one given to `case`.
    width, height, thickness, diameter, wall, bore, inner_width, inner_thickness, edge_radius, inner_radius : optional
        Dimensions, such as "100 mm".
    points, holes : sequences, optional
        Corners ["x", "y"] relative to the centre, or {"arc_to": ["x", "y"], "bulge": 0.414}.
    file : str, optional
        A drawing (DXF, SVG) or, with "mesh", a finished triangle mesh; counted from the working folder.
    layer, region : optional
        Which layer of the drawing, which tag of the mesh; needed where there are several.
    unit, scale, gap : optional
        Unit of the file ("mm") if it does not say, a factor on all lengths, the widest gap of a drawing that is closed.
    centre : (x, y) of str, optional
        Default ("0 mm", "0 mm").
    place : mapping, optional
        Beside another conductor instead: {"below": "outgoing", "gap": "3 mm"}; see the case file's `place`.
    mirrored : "left-right" or "top-bottom", optional
        Its mirror image, after `turn`.
    turn : str, optional
        Angle counter-clockwise about the centre.
    temperature : str, optional
        Default: the ambient temperature of the case.
    plating : sequence of mappings, optional
        {"material": "silver", "thickness": "10 um"}, inside first.
    plating_inside : sequence of mappings, optional
        The same for a bore.
    roughness : str, optional
        Rq of the surface, such as "0.4 um"; smooth if left out.
    finish : "bright", "dull", "oxidised" or "painted", optional
        How it radiates, where that is another than [cooling] says.
    emissivity : float, optional
        The same as a number.
    clad : sequence of mappings, optional
        Further outlines pressed against this one: {"shape": "bar", "width": "20 mm", "thickness": "2 mm",
        "offset": ["0 mm", "4 mm"], "material": "steel"}
    repeat : mapping, optional
        {"count": 4, "step": ["0 mm", "12 mm"]}

    Raises
    ------
    CaseError
        With every fault of this conductor.

    Examples
    --------
    >>> rod = conductor("rod", "round", material="copper", diameter="25 mm")
    >>> round(rod.draw().outer.area * 1e6, 3)
    490.874
    """
    return _checked("conductor", _given({"name": name, "shape": shape, **keys}), CONDUCTOR)


def circuit(
    name: str,
    current: str,
    *,
    out: Sequence[str],
    back: Sequence[str] = (),
    phase: str | None = None,
    sharing: Literal["free", "equal", "series"] = "free",
    **unknown: Never,
) -> CircuitTable:
    """A circuit; see the case file's [[circuit]].

    Parameters
    ----------
    name : str
    current : str
        "900 A", rms.
    out, back : sequence of str
        Names of conductors: "outgoing", "bar.2", "bar.*". Circuits may share them, as three phases share a neutral
        (back=["N"] in each): it carries the sum of their currents.
    phase : str, optional
        Default "0 deg".
    sharing : "free", "equal" or "series"
        The last round an axis only.

    Raises
    ------
    CaseError
        With every fault of this circuit.

    Examples
    --------
    >>> circuit("feed", "0.9 kA", out=["outgoing"], back=["return"]).current
    900.0
    """
    row = {"name": name, "current": current, "out": out, "back": back, "phase": phase, "sharing": sharing, **unknown}
    return _checked("circuit", _given(row), CIRCUIT)


def coil(
    name: str,
    turns: Sequence[str],
    *,
    current: str | None = None,
    phase: str | None = None,
    shorted: bool | None = None,
    reversed: Sequence[str] = (),
    taps: Sequence[int] = (),
    **unknown: Never,
) -> CoilTable:
    """Turns in series round an axis; see the case file's [[coil]].

    Parameters
    ----------
    name : str
    turns : sequence of str
        Names of conductors, in the order of the current: ["turn.*"].
    current : str, optional
        "900 A", rms; it or `shorted`.
    phase : str, optional
        Default "0 deg".
    shorted : bool, optional
        Its ends are joined: its current is what the others induce.
    reversed : sequence of str
        Turns that are wound the other way.
    taps : sequence of int
        Turns from the start after which it is tapped.

    Raises
    ------
    CaseError
        With every fault of this coil.

    Examples
    --------
    >>> coil("work", ["turn.*"], current="0.5 kA").current
    500.0
    """
    row = {"name": name, "turns": turns, "current": current, "phase": phase, "shorted": shorted, **unknown}
    return _checked("coil", _given({**row, "reversed": reversed, "taps": taps}), COIL)


def case(
    title: str,
    conductors: ConductorTable | Plain | Sequence[ConductorTable | Plain],
    circuits: CircuitTable | CoilTable | Plain | Sequence[CircuitTable | CoilTable | Plain],
    *,
    at: Sequence[str] | None = None,
    sweep: Mapping[str, object] | None = None,
    symmetry: Literal["plane", "axial"] | None = None,
    length: str | None = None,
    ambient: str | None = None,
    accuracy: str | Mapping[str, str] | None = None,
    materials: Mapping[str, Mapping[str, object]] | None = None,
    **tables: object,
) -> Case:
    """A whole case, checked.

    Parameters
    ----------
    title : str
    conductors, circuits : one or a sequence of them
        Made by `conductor`, `circuit` and `coil`; or plain tables in the words of the case file, which may use names.
    at : sequence of str, optional
        Frequencies, such as ["85 kHz"].
    sweep : mapping, optional
        {"from": "50 Hz", "to": "10 MHz", "points": 200}
    symmetry : "plane" or "axial", optional
        Default "plane"; "axial" is the half plane r, z round an axis.
    length, ambient : str, optional
        As in the case file.
    accuracy : str or mapping, optional
        The [accuracy] of the case file, or its resistance alone, such as "0.01 %".
    materials : mapping, optional
        Own materials, such as {"my-alloy": {"conductivity": "33 MS/m"}}.
    **tables : mapping or sequence of mappings
        Every other table of the case file by its name and in its words: cooling={"finish": "dull"},
        limits={"loss": "600 W/m"}; of duty, joint and water one or a sequence. With named={"size": "25 mm"} plain
        tables say "size", as those of a case file do; what a constructor makes has its values already.

    Raises
    ------
    CaseError
        With every fault of the case.

    Examples
    --------
    >>> rod = conductor("rod", "round", material="copper", diameter="25 mm")
    >>> bench = case("bench", [rod], [circuit("coil", "40 A", out=["rod"])], at=["13.56 MHz", "100 kHz"])
    >>> bench.frequencies
    (100000.0, 13560000.0)
    >>> case("rod", rod, circuit("coil", "40 A", out=["rod"]), at=["1 MHz"], ladder={"bound": "1 %"}).data.ladder.bound
    0.01
    """
    if tables.keys() & OWN.keys():
        found = "one that has an argument of its own"
        raise CaseError(Fault(None, k, "a further table", found, f"give it as {OWN[k]}") for k in OWN if k in tables)
    driven = [circuits] if isinstance(circuits, (CircuitTable, CoilTable, Mapping)) else list(circuits)
    coils = [one for one in driven if isinstance(one, CoilTable)]
    listed = {key: [table] for key, table in tables.items() if key in LISTS and isinstance(table, Mapping)}
    given = {
        "title": title,
        "symmetry": symmetry,
        "length": length,
        "ambient": ambient,
        "frequency": _given({"at": at, "sweep": sweep}),
        "accuracy": accuracy if accuracy is None or isinstance(accuracy, Mapping) else {"resistance": accuracy},
        "material": materials,
        "conductor": [conductors] if isinstance(conductors, (ConductorTable, Mapping)) else list(conductors),
        "circuit": [one for one in driven if not isinstance(one, CoilTable)],
        **tables,
        **listed,
        **({"coil": [*coils, *_as_list(tables.get("coil"))]} if coils else {}),
    }
    try:
        return checked_case(_given(given))
    except CaseError as error:
        raise CaseError(map(_with_names_explained, error.faults)) from None


def _as_list(tables: object) -> list[object]:
    """One table, several or none."""
    if tables is None:
        return []
    return list(tables) if isinstance(tables, (list, tuple)) else [tables]


def _with_names_explained(fault: Fault) -> Fault:
    """A name where a constructor wants a value, or one that stands nowhere, as the constructors have none."""
    meant = fault.key.startswith("named") or ("with a unit" in fault.expected and WORD.fullmatch(fault.found))
    return replace(fault, hint=f"{fault.hint}; {NAMES}") if meant else fault


def _checked(table: str, row: dict[str, object], adapter: TypeAdapter[M]) -> M:
    data = {table: [row]}
    try:
        made = adapter.validate_python(row)
    except ValidationError as error:
        told = structural_faults(error, data, None, (table, 0))
        raise CaseError(map(_with_names_explained, told)) from None
    faults = shape_faults(Draft(data, None))
    if faults:
        raise CaseError(faults)
    return made


def _given(row: Mapping[str, object]) -> dict[str, object]:
    return {key: value for key, value in row.items() if value is not None}
