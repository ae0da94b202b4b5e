"""Names of figures of a section round an axis: `..._per_m` of a straight run becomes `..._per_turn` or `total_...`."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

# what results.json can hold; floats are finite
Json = str | int | float | bool | None | Sequence["Json"] | Mapping[str, "Json"]

_OF_CIRCUITS = ("circuit_", "sequence_", "exact_", "ladder_", "cell_coupling_")  # what their figures begin with
_PER_METRE = re.compile(r"_(w|v|ohm|h|f|n|j|kg)_per_m(?=_per_si$|$)")
_PER_TURN = re.compile(r"_(w|v|ohm|h|f|n|j|kg)_per_turn(?=_per_si$|$)")
_IN_TOTAL = re.compile(r"^total_(.*_(?:w|v|ohm|h|f|n|j|kg))(?=_per_si$|$)")
# what is told of whole circuits and sections below these keys, of single turns below those
_WHOLE, _TURNS = {"circuits", "bands", "losses", "slopes", "total"}, {"conductors", "shared", "layers", "faces"}


def axial_names(record: Mapping[str, Json], *, whole: bool = False) -> dict[str, Json]:
    """A record with every figure under its name round an axis; what is `whole` in total, all else per turn.

    Examples
    --------
    >>> axial_names({"loss_w_per_m": 2.0, "circuits": {"coil": {"resistance_ohm_per_m": 3.0}}, "h_a_per_m": 1.0})
    {'loss_w_per_turn': 2.0, 'circuits': {'coil': {'total_resistance_ohm': 3.0}}, 'h_a_per_m': 1.0}
    """
    named: dict[str, Json] = {}
    for key, value in record.items():
        name = axial_name(key, whole=whole)
        if named.get(name) is None:  # a total over a run has none of a section round an axis
            named[name] = _axial(value, whole=key in _WHOLE or (whole and key not in _TURNS))
    return named


def _axial(value: Json, *, whole: bool) -> Json:
    if isinstance(value, Mapping):
        return axial_names(value, whole=whole)
    return [_axial(one, whole=whole) for one in value] if isinstance(value, (list, tuple)) else value


def axial_name(key: str, *, whole: bool) -> str:
    """The name of one figure.

    Examples
    --------
    >>> axial_name("loss_w_per_m", whole=True), axial_name("total_loss_w_per_m", whole=False)
    ('total_loss_w', 'total_loss_w')
    >>> axial_name("force_n_per_m", whole=False), axial_name("circuit_impedance_ohm_per_m", whole=False)
    ('force_n_per_turn', 'total_circuit_impedance_ohm')
    """
    if not _PER_METRE.search(key):
        return key
    bare = _PER_METRE.sub(r"_\1", key)
    if key.startswith("total_"):
        return bare
    if whole or key.startswith(_OF_CIRCUITS):
        return f"total_{bare}"
    return _PER_METRE.sub(r"_\1_per_turn", key)


def axial_columns(text: str) -> str:
    """A table of comma-separated values with the names in its first line as they are round an axis.

    R and L are those of circuits, in total, and so is what is of no conductor.

    Examples
    --------
    >>> axial_columns("frequency_hz,coil: resistance_ohm_per_m,turn: loss_w_per_m,loss_w_per_m_per_si")
    'frequency_hz,coil: total_resistance_ohm,turn: loss_w_per_turn,total_loss_w_per_si'
    """
    head, newline, rows = text.partition("\n")
    found = []
    for column in head.split(","):
        owner, colon, name = column.rpartition(": ")
        whole = not owner or any(word in name for word in ("resistance", "inductance"))
        found.append(owner + colon + axial_name(name, whole=whole))
    return ",".join(found) + newline + rows


def plane_names(record: Mapping[str, Json]) -> dict[str, Json]:
    """The same record under the names of a straight run, as it was before `axial_names`.

    Examples
    --------
    >>> plane_names({"loss_w_per_turn": 2.0, "circuits": {"coil": {"total_resistance_ohm": 3.0}}})
    {'loss_w_per_m': 2.0, 'circuits': {'coil': {'resistance_ohm_per_m': 3.0}}}
    """
    named: dict[str, Json] = {}
    for key in sorted(record, key=lambda key: not key.startswith("total_")):  # where both are there, that is the figure
        named.setdefault(_plane_name(key), _plane(record[key]))
    return {name: named[name] for name in dict.fromkeys(map(_plane_name, record))}


def _plane(value: Json) -> Json:
    if isinstance(value, Mapping):
        return plane_names(value)
    return [_plane(one) for one in value] if isinstance(value, (list, tuple)) else value


def _plane_name(key: str) -> str:
    return _IN_TOTAL.sub(r"\1_per_m", _PER_TURN.sub(r"_\1_per_m", key))
