"""A drawing exchange file (DXF, R2010, millimetres, UTF-8) as text: its tables, one space and plain entities.

After the published "DXF Reference" of the format's publisher: every object has a handle and an owner, every table its
records. Written here, since the library that reads such files takes longer to load than a solve.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import TypeAlias

Tag: TypeAlias = tuple[int, str | int | float]  # group code, value
Corner: TypeAlias = tuple[float, float, float]  # x, y [mm], bulge of what follows: tan of a quarter of the arc's angle
Point: TypeAlias = tuple[float, float]  # [mm]

VERSION, MILLIMETRES, METRIC = "AC1024", 4, 1
MODEL, PAPER = "*Model_Space", "*Paper_Space"
RECORDS = {  # a table of the file and the kind its records are of
    "VPORT": "AcDbViewportTableRecord",
    "LTYPE": "AcDbLinetypeTableRecord",
    "LAYER": "AcDbLayerTableRecord",
    "STYLE": "AcDbTextStyleTableRecord",
    "VIEW": "AcDbViewTableRecord",
    "UCS": "AcDbUCSTableRecord",
    "APPID": "AcDbRegAppTableRecord",
    "DIMSTYLE": "AcDbDimStyleTableRecord",
    "BLOCK_RECORD": "AcDbBlockTableRecord",
}


class DxfText:
    """Collects entities; as a string it is the file, the same for the same entities.

    Parameters
    ----------
    layers : mapping of name to colour
        Colours by their numbers in the format.
    """

    def __init__(self, layers: Mapping[str, int]) -> None:
        # to the format "A" and "a" are one name
        self._layers = dict({name.upper(): (name, colour) for name, colour in {"0": 7, **layers}.items()}.values())
        self._handles = 0
        self._space, self._paper = self._handle(), self._handle()
        self._entities: list[Tag] = []

    def polyline(self, layer: str, corners: Sequence[Corner], *, closed: bool = False) -> None:
        """Lines and arcs from corner to corner."""
        tags: list[Tag] = [(90, len(corners)), (70, int(closed))]
        for x, y, bulge in corners:
            tags += [(10, x), (20, y), (42, bulge)]
        self._entity("LWPOLYLINE", layer, "AcDbPolyline", tags)

    def solid(self, layer: str, corners: Sequence[Point]) -> None:
        """A filled triangle or quadrilateral; the third and fourth corner stand crosswise in the file."""
        first, second, third, last = (*corners, corners[-1])[:4]
        every = (first, second, last, third)
        self._entity("SOLID", layer, "AcDbTrace", [tag for k, at in enumerate(every) for tag in _place(k, at)])

    def text(self, layer: str, at: Point, text: str, height: float, *, align: int, turn: float) -> None:
        """A line of text at a place on its base line.

        Parameters
        ----------
        layer : str
        at : (2,) float
            [mm]
        text : str
        height : float
            Of its capitals [mm].
        align : int
            What of it stands there: 0 its left end, 1 its middle, 2 its right end.
        turn : float
            Angle from the x axis [deg].
        """
        shown = text.replace("%%", "% %").replace("^", "^ ")  # what begins a sign of its own in the format
        tags: list[Tag] = [*_place(0, at), (40, height), (1, shown), (50, turn), (7, "Standard"), (72, align)]
        self._entity("TEXT", layer, "AcDbText", [*tags, *(_place(1, at) if align else []), (100, "AcDbText")])

    def __str__(self) -> str:
        tables, blocks, objects = self._tables(), self._blocks(), self._objects()
        header: list[Tag] = [
            (9, "$ACADVER"), (1, VERSION), (9, "$HANDSEED"), (5, f"{self._handles + 1:X}"),
            (9, "$INSUNITS"), (70, MILLIMETRES), (9, "$MEASUREMENT"), (70, METRIC),
        ]  # fmt: skip
        bodies = [header, [], tables, blocks, self._entities, objects]
        names = ("HEADER", "CLASSES", "TABLES", "BLOCKS", "ENTITIES", "OBJECTS")
        tags: list[Tag] = []
        for name, body in zip(names, bodies, strict=True):
            tags += [(0, "SECTION"), (2, name), *body, (0, "ENDSEC")]
        return "".join(f"{code:>3}\n{value}\n" for code, value in [*tags, (0, "EOF")])

    def _handle(self) -> str:
        self._handles += 1
        return f"{self._handles:X}"

    def _entity(self, kind: str, layer: str, of: str, tags: Iterable[Tag]) -> None:
        self._entities += [(0, kind), *self._owned(self._space), (100, "AcDbEntity"), (8, layer), (100, of), *tags]

    def _owned(self, owner: str) -> list[Tag]:
        return [(5, self._handle()), (330, owner)]

    def _tables(self) -> list[Tag]:
        line: list[Tag] = [(3, ""), (72, 65), (73, 0), (40, 0.0)]
        letters: list[Tag] = [(40, 0.0), (41, 1.0), (50, 0.0), (71, 0), (42, 2.5), (3, "txt"), (4, "")]
        view: list[Tag] = [(10, 0.0), (20, 0.0), (11, 1.0), (21, 1.0), (12, 0.0), (22, 0.0), (40, 300.0), (41, 1.5)]
        records: dict[str, dict[str, list[Tag]]] = {
            "VPORT": {"*Active": view},
            "LTYPE": dict.fromkeys(("ByBlock", "ByLayer", "Continuous"), line),
            "LAYER": {name: [(62, colour), (6, "Continuous")] for name, colour in self._layers.items()},
            "STYLE": {"Standard": letters},
            "APPID": {"ACAD": []},
            "DIMSTYLE": {"Standard": []},
            "BLOCK_RECORD": {MODEL: [], PAPER: []},
        }
        known = {MODEL: self._space, PAPER: self._paper}
        tags: list[Tag] = []
        for table, kind in RECORDS.items():
            own, rows = self._handle(), records.get(table, {})
            tags += [(0, "TABLE"), (2, table), (5, own), (330, "0"), (100, "AcDbSymbolTable"), (70, len(rows))]
            tags += [(100, "AcDbDimStyleTable"), (71, 0)] if table == "DIMSTYLE" else []
            for name, more in rows.items():
                handle: Tag = (105 if table == "DIMSTYLE" else 5, known.get(name) or self._handle())
                flags: list[Tag] = [] if table == "BLOCK_RECORD" else [(70, 0)]
                tags += [(0, table), handle, (330, own), (100, "AcDbSymbolTableRecord"), (100, kind), (2, name)]
                tags += [*flags, *more]
            tags.append((0, "ENDTAB"))
        return tags

    def _blocks(self) -> list[Tag]:
        tags: list[Tag] = []
        for name, record in ((MODEL, self._space), (PAPER, self._paper)):
            on: list[Tag] = [(100, "AcDbEntity"), (8, "0")]
            inside: list[Tag] = [(2, name), (70, 0), *_place(0, (0.0, 0.0)), (3, name), (1, "")]
            tags += [(0, "BLOCK"), *self._owned(record), *on, (100, "AcDbBlockBegin"), *inside]
            tags += [(0, "ENDBLK"), *self._owned(record), *on, (100, "AcDbBlockEnd")]
        return tags

    def _objects(self) -> list[Tag]:
        """The dictionary of the file with the one it may not lack."""
        root, groups = self._handle(), self._handle()
        kind: list[Tag] = [(100, "AcDbDictionary"), (281, 1)]
        outer: list[Tag] = [(0, "DICTIONARY"), (5, root), (330, "0"), *kind, (3, "ACAD_GROUP"), (350, groups)]
        return [*outer, (0, "DICTIONARY"), (5, groups), (330, root), *kind]


def _place(number: int, at: Point) -> list[Tag]:
    return [(10 + number, at[0]), (20 + number, at[1]), (30 + number, 0.0)]
