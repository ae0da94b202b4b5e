"""One change of a case file's text: one line changes, comments and layout stay."""

from __future__ import annotations

import copy
import re
from collections.abc import Callable, Mapping, Sequence
from typing import Any, Literal, TypeAlias

from crosscurrent.geometries.errors import CrosscurrentError

Place = Sequence[str | int]
Node: TypeAlias = Any  # of tomlkit, which is not typed that far
DIRECTIONS = ("out", "back")
REFERRING = frozenset(  # keys that name conductors
    {*DIRECTIONS, "conductors", "turns", "reversed", "held", "insulated", "touchable", "pieces", "piece", "zoom",
     "other", "above", "below", "left_of", "right_of", "around", "inside"}
)  # fmt: skip
_TIGHT = re.compile(r"([^\n]\n)(\[)")
STARTS: dict[str, dict[str, str]] = {
    "bar": {"width": "40 mm", "thickness": "5 mm"},
    "round": {"diameter": "10 mm"},
    "tube": {"diameter": "12 mm", "wall": "1 mm"},
    "box": {"width": "30 mm", "thickness": "20 mm", "wall": "3 mm"},
    "angle": {"width": "30 mm", "height": "30 mm", "thickness": "4 mm"},
    "channel": {"width": "40 mm", "height": "20 mm", "thickness": "4 mm"},
}


class EditError(CrosscurrentError, ValueError):
    """A change that cannot be made in this text."""


def with_value(text: str, place: Place, value: Node, *, kept: bool = False) -> str:
    """The text with a value at a place; an empty text as value takes the key out.

    Parameters
    ----------
    text : str
        TOML.
    place : sequence of str and int
        Keys and numbers of entries, from the top.
    value : str, float, list or dict
    kept : bool
        Whether an empty text is a value like others.

    Raises
    ------
    EditError
        The text is no TOML, or there is no such place.

    Examples
    --------
    >>> with_value('[[conductor]]\\nwidth = "1 mm"  # stock\\n', ("conductor", 0, "width"), "2 mm")
    '[[conductor]]\\nwidth = "2 mm"  # stock\\n'
    """

    def change(document: Node) -> None:
        inside = _inside(document, place[:-1])
        key = place[-1]
        if value in ("", None) and not kept:
            if isinstance(key, str):
                inside.pop(key, None)
            else:
                del inside[key]
            rows = isinstance(key, int) or (hasattr(inside, "is_super_table") and inside.is_super_table())
            if rows and not inside and len(place) > 1:  # no row is left
                del _inside(document, place[:-2])[place[-2]]
        elif isinstance(key, str) or key < len(inside):
            inside[key] = value
        else:
            raise EditError(f"{_words(place)}: no such entry")

    return _changed(text, change)


def with_written(text: str, place: Place, toml: str) -> str:
    """The text with a value as it stands in a case file; what is no value there is taken as text.

    Examples
    --------
    >>> with_written("", ("limits", "temperature_bare"), "90 degC")
    '[limits]\\ntemperature_bare = "90 degC"\\n'
    >>> with_written("", ("frequency", "at"), '["50 Hz"]')
    '[frequency]\\nat = ["50 Hz"]\\n'
    """
    import tomlkit
    from tomlkit.exceptions import TOMLKitError

    try:
        value: Node = tomlkit.value(toml.strip()) if toml.strip() else ""
    except (TOMLKitError, ValueError):
        value = toml.strip()
    return with_value(text, place, value)


def with_appended(text: str, place: Place, values: Mapping[str, Node], name: str = "", *, listed: bool = True) -> str:
    """The text with one more table at the end of a list of tables, or under a name of its own, or alone.

    Examples
    --------
    >>> with_appended('plating = [{material = "nickel"}]\\n', ("plating",), {"material": "silver"})
    'plating = [{material = "nickel"}, {material = "silver"}]\\n'
    """
    import tomlkit

    def change(document: Node) -> None:
        inside, key = _inside(document, place[:-1]), place[-1]
        if name:
            inside.setdefault(key, tomlkit.table(is_super_table=True))[name] = _table(values)
        elif not listed:
            inside[key] = _table(values)
        elif key in inside and isinstance(inside[key], tomlkit.items.Array):
            inside[key].append(_inline(values))
        elif len(place) == 1:
            _append(document, str(key), values)
        else:
            inside[key] = tomlkit.array()
            inside[key].append(_inline(values))

    return _changed(text, change)


def with_name(text: str, row: int, name: str) -> str:
    """The text with another name of a conductor, wherever it stands.

    Examples
    --------
    >>> with_name('[[conductor]]\\nname = "a"\\n[[circuit]]\\nout = ["a", "a.2", "b"]\\n', 0, "c").splitlines()[3]
    'out = ["c", "c.2", "b"]'
    """

    def change(document: Node) -> None:
        table = _inside(document, ("conductor", row))
        before, table["name"] = str(table.get("name", "")), name
        if before and name:
            _rename(document, before, name)

    return _changed(text, change)


def _rename(inside: Node, before: str, name: str) -> None:
    for key in list(inside):
        value = inside[key]
        if hasattr(value, "keys"):
            _rename(value, before, name)
        elif isinstance(value, list) and value and hasattr(value[0], "keys"):
            for one in value:
                _rename(one, before, name)
        elif key in REFERRING and isinstance(value, list):
            for k, word in enumerate(value):
                if isinstance(word, str) and _is_of(word, before):
                    value[k] = name + word[len(before) :]
        elif key in REFERRING and isinstance(value, str) and _is_of(value, before):
            inside[key] = name + value[len(before) :]


def with_conductor(text: str, shape: str, centre: tuple[str, str]) -> str:
    """The text with one more conductor of a shape, of copper, in no circuit.

    Raises
    ------
    EditError
        There is no such shape, or the text is no TOML.
    """
    if shape not in STARTS:
        raise EditError(f"no such shape to start from: {shape}")

    def change(document: Node) -> None:
        name = _free_name(document, shape)
        row = {"name": name, "shape": shape, **STARTS[shape], "centre": list(centre), "material": "copper"}
        _append(document, "conductor", row)

    return _changed(text, change)


def with_drawing(text: str, file: str, above: str | None) -> str:
    """The text with one more conductor that has the outline of a drawing, 1 mm under another, in no circuit.

    Examples
    --------
    >>> print(with_drawing("", "slot.dxf", "bar"))
    [[conductor]]
    name = "slot"
    shape = "drawing"
    file = "slot.dxf"
    place = {below = "bar", gap = "1 mm"}
    material = "copper"
    <BLANKLINE>
    """

    def change(document: Node) -> None:
        name = _free_name(document, re.sub(r"[^\w-]+", "-", file.rpartition(".")[0]).strip("-") or "drawing")
        where: dict[str, Node] = {"centre": ["0 mm", "0 mm"]}
        if above is not None:
            where = {"place": _inline({"below": above, "gap": "1 mm"})}
        _append(document, "conductor", {"name": name, "shape": "drawing", "file": file, **where, "material": "copper"})

    return _changed(text, change)


def _inline(values: Mapping[str, Node]) -> Node:
    import tomlkit

    table = tomlkit.inline_table()
    table.update(values)
    return table


def with_copy(text: str, row: int, centre: tuple[str, str], mirrored: Literal["", "left-right", "top-bottom"]) -> str:
    """The text with a conductor once more at another place, or its mirror image there."""

    def change(document: Node) -> None:
        first = _inside(document, ("conductor", row))
        fresh = copy.deepcopy(first.unwrap())
        for gone in ("place", "repeat"):
            fresh.pop(gone, None)
        fresh["name"] = _free_name(document, str(fresh.get("name", "part")))
        fresh["centre"] = list(centre)
        if mirrored:
            fresh["mirrored"] = mirrored
        _append(document, "conductor", fresh)

    return _changed(text, change)


def with_copies(text: str, row: int, toml: str) -> str:
    """The text with a conductor repeated, or alone again where nothing is written; circuits and coils go along.

    Examples
    --------
    >>> text = '[[conductor]]\\nname = "a"\\n\\n[[circuit]]\\nout = ["a"]\\n'
    >>> print(with_copies(text, 0, '{ count = 2, step = ["9 mm", "0 mm"] }'))
    [[conductor]]
    name = "a"
    repeat = { count = 2, step = ["9 mm", "0 mm"] }
    <BLANKLINE>
    [[circuit]]
    out = ["a.*"]
    <BLANKLINE>
    """

    def change(document: Node) -> None:
        name = str(_inside(document, ("conductor", row)).get("name", ""))

        def meant(word: str) -> str:
            if toml.strip():
                return f"{name}.*" if word == name else word
            return name if _is_of(word, name) else word

        for one in (*document.get("circuit", []), *document.get("coil", [])):
            for key in (*DIRECTIONS, "turns", "reversed"):
                words = list(one.get(key, []))
                if (found := list(dict.fromkeys(map(meant, words)))) != words:
                    one[key] = found

    return _changed(with_written(text, ("conductor", row, "repeat"), toml), change)


def without_conductor(text: str, row: int) -> str:
    """The text without a conductor; circuits forget it, and one that carries nothing any more goes with it."""

    def change(document: Node) -> None:
        name = str(_inside(document, ("conductor", row)).get("name", ""))
        del document["conductor"][row]
        if not document["conductor"]:  # an empty list would stand where tables are to follow
            del document["conductor"]
        _forget(document, name)

    return _changed(text, change)


def with_direction(
    text: str, row: int, circuit: str, way: Literal["out", "back", ""], *,
    part: str | None = None, alike: Sequence[str] = (),
) -> str:
    """The text with a conductor in a circuit, on its way out or back, or in none.

    A circuit that is not there yet is made, with 100 A. With `part` it is only that one of those that the row is
    repeated to, whose names are `alike`.
    """

    def change(document: Node) -> None:
        whole = str(_inside(document, ("conductor", row)).get("name", ""))
        name = whole if part is None else part
        if part is not None:  # the others stay where they are
            _spell_out(document, whole, alike)
        _forget(document, name, keep=circuit if way else None)
        if not way:
            return
        rows = document.get("circuit", [])
        found = next((one for one in rows if one.get("name") == circuit), None)
        if found is None:
            _append(document, "circuit", {"name": circuit, "current": "100 A", way: [name]})
        else:
            found[way] = [*found.get(way, []), name]

    return _changed(text, change)


def _spell_out(document: Node, name: str, alike: Sequence[str]) -> None:
    """Name one by one what circuits have as a whole."""
    for one in document.get("circuit", []):
        for way in DIRECTIONS:
            if any(word in (name, f"{name}.*") for word in one.get(way, [])):
                one[way] = [w for word in one[way] for w in (alike if word in (name, f"{name}.*") else [word])]


def _forget(document: Node, name: str, keep: str | None = None) -> None:
    """Take a conductor out of all circuits."""
    rows = document.get("circuit", [])
    for number in reversed(range(len(rows))):
        one = rows[number]
        for way in DIRECTIONS:
            if any(_is_of(word, name) for word in one.get(way, [])):
                one[way] = [word for word in one[way] if not _is_of(word, name)]
        if not any(one.get(way) for way in DIRECTIONS) and one.get("name") != keep:
            del rows[number]
    if "circuit" in document and not document["circuit"]:
        del document["circuit"]


def _is_of(word: str, name: str) -> bool:
    return word == name or word.startswith(f"{name}.")


def _table(values: Mapping[str, Node]) -> Node:
    import tomlkit

    table = tomlkit.table()
    for name, value in values.items():
        table[name] = value
    return table


def _append(document: Node, key: str, row: Mapping[str, Node]) -> None:
    import tomlkit

    if not document.get(key):
        document.pop(key, None)
        document[key] = tomlkit.aot()
    document[key].append(_table(row))


def _free_name(document: Node, word: str) -> str:
    taken = {str(row.get("name", "")) for row in document.get("conductor", [])}
    base = re.sub(r"-\d+$", "", word)
    if base not in taken:
        return base
    return next(name for k in range(2, len(taken) + 3) if (name := f"{base}-{k}") not in taken)


def _inside(document: Node, place: Place) -> Node:
    found = document
    for number, key in enumerate(place):
        try:
            found = found[key]
        except (KeyError, IndexError, TypeError):
            if isinstance(key, int) or not hasattr(found, "unwrap"):
                raise EditError(f"{_words(place)}: no such place in the text") from None
            found[key] = _new_table(listed=tuple(place[number + 1 : number + 2]) == (0,))
            found = found[key]
    return found


def _new_table(*, listed: bool) -> Node:
    """A table that is not there yet, or the first of a list of tables."""
    import tomlkit

    if not listed:
        return tomlkit.table()
    rows = tomlkit.aot()
    rows.append(tomlkit.table())
    return rows


def _changed(text: str, change: Callable[[Node], None]) -> str:
    import tomlkit
    from tomlkit.exceptions import TOMLKitError

    try:
        document = tomlkit.parse(text)
    except TOMLKitError as error:
        raise EditError(f"the text is no TOML yet ({error}): mend it there first") from None
    change(document)
    found = tomlkit.dumps(document)
    if found.endswith("\n\n") and not text.endswith("\n\n"):  # what stood there is gone
        found = found.rstrip("\n") + "\n"
    return found if _TIGHT.search(text) else _TIGHT.sub(r"\1\n\2", found)  # an empty line before a new table, too


def _words(place: Place) -> str:
    return " ".join(str(key + 1) if isinstance(key, int) else key for key in place)
