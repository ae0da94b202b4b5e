"""The command `look`: what a drawing, a finished mesh or a case holds, and a case file started from one."""

from __future__ import annotations

import os
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from rich.console import Console
from rich.text import Text

from crosscurrent.casefile.drawings import MOST_SIDES
from crosscurrent.geometries.drawings.meshes import read_mesh
from crosscurrent.geometries.drawings.reading import Drawing, read_bytes, read_drawing
from crosscurrent.geometries.drawings.sketch import UNITS
from crosscurrent.geometries.errors import DrawingError, GeometryError
from crosscurrent.geometries.plane.neighbours import neighbouring_parts
from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.section import Section
from crosscurrent.postprocess.answers.summary import gap_lines
from crosscurrent.postprocess.answers.tables import TextTable

from .new_text import CIRCUIT, GAP, common_keys, head
from .output import output, show_table

if TYPE_CHECKING:
    from crosscurrent.geometries.plane.shapes import Shape

GAPS = 6  # that are printed
LISTED = 40  # outlines of a layer that get a line of their own ...
MOST_ROWS = 400  # ... and of all layers together
_DRAWN = (".dxf", ".svg")
_AIR = ("air", "-1", "rest", "outside", "vacuum")


@dataclass(frozen=True, eq=False)
class Seen:
    """A file that was looked at.

    Attributes
    ----------
    path : Path
    kind : str
        "DXF", "SVG", "mesh" or "case".
    unit : str or None
        The unit asked for on the command line.
    scale : float
    known : bool
        Whether sizes are metres; else units of the file.
    groups : mapping of str to tuple of Shape
        Shapes by layer, region or conductor.
    left_out : mapping of str to tuple of str
        What is not in the shapes, by layer; under "" what concerns the whole file.
    parts : tuple of Part
        Of a case, with their coats.
    axial : bool
        Whether a case goes round an axis: what lies across it is whole, all else the right half.
    """

    path: Path
    kind: str
    unit: str | None
    scale: float
    known: bool
    groups: Mapping[str, tuple[Shape, ...]]
    left_out: Mapping[str, tuple[str, ...]]
    parts: tuple[Part, ...] = ()
    axial: bool = False


def open_file(path: Path, unit: str | None, scale: float) -> Seen:
    """Read a file; without a unit its sizes are in its own units.

    Raises
    ------
    DrawingError
        The file is at fault, or the unit is none.
    CaseError
        It is a case file, which is at fault.
    """
    if path.suffix.lower() == ".toml":
        return _open_case(path)
    if unit is not None and unit not in UNITS:
        raise DrawingError(f"a unit of length, one of {', '.join(UNITS)}", f'"{unit}"', "write --unit mm", "--unit")
    if not 1e-6 <= scale <= 1e6:
        raise DrawingError("a factor from 0.000001 to 1000000", f"{scale:g}", "leave it out for 1", "--scale")
    metres = UNITS[unit] if unit else None
    if path.suffix.lower() not in _DRAWN and not _is_drawing(read_bytes(path)):
        mesh = read_mesh(path, unit=metres or 1.0, scale=scale)
        groups = {name: region.shapes for name, region in mesh.regions.items()}
        return Seen(path, "mesh", unit, scale, metres is not None, groups, {"": mesh.notes})
    try:
        drawing, known = read_drawing(path, unit=metres, scale=scale), True
    except DrawingError as error:
        if not error.expected.startswith("a drawing that says its unit"):
            raise
        drawing, known = read_drawing(path, unit=1.0, scale=scale, gap=None), False
    left_out = {"": drawing.notes, **{name: layer.left_out for name, layer in drawing.layers.items()}}
    return Seen(path, drawing.kind, unit, scale, known, _shapes(drawing), left_out)


def _open_case(path: Path) -> Seen:
    """The conductors of a case, where their places put them."""
    from crosscurrent.casefile.reader import read_case

    case = read_case(path)
    parts = case.problem().section.parts
    shapes = {part.name: (part.shape, *part.pieces) for part in parts}
    return Seen(path, "case", None, 1.0, True, shapes, {}, case.envelopes, case.axial)


def _is_drawing(data: bytes) -> bool:
    from crosscurrent.geometries.drawings.dxf import is_dxf
    from crosscurrent.geometries.drawings.svg import is_svg

    return is_svg(data) or is_dxf(data) or data.startswith(b"AC10")


def _shapes(drawing: Drawing) -> dict[str, tuple[Shape, ...]]:
    return {name: layer.shapes for name, layer in drawing.layers.items() if layer.joined.loops}


def show(seen: Seen) -> None:
    """Tables of the outlines of every layer, and what was left out."""
    console = output()
    noun = {"mesh": "region", "case": "conductor"}.get(seen.kind, "layer")
    console.print(Text(f"{seen.path.name} ({seen.kind})"), style="bold")
    if not seen.known:
        console.print(f"It does not say its unit: sizes are in its own. State it: --unit mm ({', '.join(UNITS)}).")
    sizes = ("width x height [mm]", "[in]", "area [mm2]", "[in2]") if seen.known else ("width x height", "area")
    places = ("r [mm]", "z [mm]") if seen.axial else ("first corner",)
    columns = (noun, "no.", "lines", "arcs", "holes", *sizes, *places, "fault")
    listed = [(name, *one) for name, shapes in seen.groups.items() for one in enumerate(shapes[:LISTED], 1)]
    rows = tuple((name, *_row(number, shape, seen)) for name, number, shape in listed[:MOST_ROWS])
    if not any(row[-1] for row in rows):  # no faults
        columns, rows = columns[:-1], tuple(row[:-1] for row in rows)
    as_placed = "Conductors where they are placed, without plating"
    if seen.axial:
        as_placed = "Rings round the axis where they are placed, and pieces across it whole, without plating"
    heading = as_placed if seen.kind == "case" else "Closed outlines, from left to right, then from the bottom up"
    show_table(console, TextTable(heading, columns, rows))
    if len(listed) > MOST_ROWS:
        console.print(Text(f"... and {len(listed) - MOST_ROWS} more outlines of other {noun}s"))
    for name, shapes in seen.groups.items():
        if len(shapes) > LISTED:
            console.print(Text(f"... and {len(shapes) - LISTED} more of {noun} {name}"))
    if seen.known:
        _show_gaps(console, seen)
    for name, lines in seen.left_out.items():
        for line in lines:
            where = f"Left out of {noun} {name}: " if name else "Note: "
            console.print(Text(f"{where}{line}"))


def _show_gaps(console: Console, seen: Seen) -> None:
    """Between outlines that stand beside each other, those of all layers together; of a case between finished faces."""
    named = ((f"{name} {k}", shape) for name, shapes in seen.groups.items() for k, shape in enumerate(shapes, 1))
    parts = seen.parts or [Part(*one) for one in named]
    found = sorted((pair for pair in neighbouring_parts(parts) if pair.gap > 0), key=lambda pair: round(pair.gap, 9))
    lines = list(gap_lines(found))
    for line in lines[:GAPS]:
        console.print(Text(f"Gap: {line}"))
    if len(lines) > GAPS:
        console.print(Text(f"... and {len(lines) - GAPS} wider gaps"))


def _row(number: int, shape: Shape, seen: Seen) -> list[str]:
    low, high = shape.outer.bounds
    every = (shape.outer, *shape.holes)
    arcs = sum(int(o.curved.sum()) for o in every)
    area = shape.area
    counts = [f"{number}", f"{sum(len(o.points) for o in every) - arcs}", f"{arcs}", f"{len(shape.holes)}"]
    wide, tall = high - low
    if not seen.known:
        return [*counts, f"{wide:.6g} x {tall:.6g}", f"{area:.6g}", f"({low[0]:.4g}, {low[1]:.4g})", _fault(shape)]
    metric, inches = (f"{wide / unit:.6g} x {tall / unit:.6g}" for unit in (1e-3, 25.4e-3))
    where = [f"({low[0] * 1e3:.4g}, {low[1] * 1e3:.4g})"]
    if seen.axial:
        ends = (max(low[0], 0.0), high[0]), (low[1], high[1])
        where = [f"{start * 1e3:.4g} to {end * 1e3:.4g}" for start, end in ends]
    return [*counts, metric, inches, f"{area * 1e6:.6g}", f"{area / 25.4e-3**2:.5g}", *where, _fault(shape)]


def _fault(shape: Shape) -> str:
    """What keeps an outline from being a conductor by itself."""
    if sum(len(o.points) for o in (shape.outer, *shape.holes)) > MOST_SIDES:
        return f"it has more than {MOST_SIDES} lines and arcs"
    try:
        Section((Part("it", shape),))
    except GeometryError as error:
        return error.faults[0].found.replace('conductor "it"', "it")[:60]
    return ""


def draw(seen: Seen, file: Path) -> None:
    """A picture of all outlines, each with its name."""
    from crosscurrent.postprocess.pictures.outlines import draw_outlines
    from crosscurrent.postprocess.pictures.style import save_one

    unit = "mm" if seen.known else "units of the file"
    save_one(draw_outlines(seen.path.name, seen.groups, unit, axial=seen.axial), file)


def case_from(seen: Seen, case: Path) -> str:
    """The text of a case file that takes its conductors from the file.

    Raises
    ------
    DrawingError
        The unit is not known, nothing is closed, or it is a case already.
    """
    if seen.kind == "case":
        raise DrawingError("a drawing or a mesh, to start a case from", "a case", "leave --case out", seen.path.name)
    if not seen.known:
        raise DrawingError("the unit of the file", "none", f"state it: --unit mm ({', '.join(UNITS)})", seen.path.name)
    groups = {name: shapes for name, shapes in seen.groups.items() if seen.kind != "mesh" or name.lower() not in _AIR}
    if not groups:
        hint = "; ".join(f"{name or 'file'}: {', '.join(t)}" for name, t in seen.left_out.items() if t) or "draw some"
        raise DrawingError("closed outlines", "none", hint, seen.path.name)
    file = Path(os.path.relpath(seen.path, case.parent)).as_posix()
    parts = [head(_quoted(str(case)), _quoted(f"Section of {seen.path.name}"))]
    names: list[str] = []
    taken: set[str] = set()
    for group, shapes in groups.items():
        name = _free_name(group, taken)
        parts.append(_conductor(seen, file, name, group, 0.0))
        names += [name] if len(shapes) == 1 else [f"{name}.{k}" for k in range(1, len(shapes) + 1)]
    if len(names) == 1:
        group, (shape,) = next(iter(groups.items()))
        low, high = shape.outer.bounds
        names.append(_free_name("return", taken))
        parts.append(_conductor(seen, file, names[1], group, -(float(high[1] - low[1]) * 1e3 + GAP)))
    quoted = [f'"{name}"' for name in names]
    parts.append(CIRCUIT.format(out=quoted[0], back=", ".join(quoted[1:])))
    return "\n".join(parts)


def _conductor(seen: Seen, file: str, name: str, group: str, y: float) -> str:
    key = "region" if seen.kind == "mesh" else "layer"
    lines = [
        "[[conductor]]",
        f'name = "{name}"',
        f'shape = "{"mesh" if seen.kind == "mesh" else "drawing"}"',
        f'file = "{_quoted(file)}"',
        f'{key} = "{_quoted(group)}"',
    ]
    lines += [f'unit = "{seen.unit}"'] if seen.unit else []
    lines += [f"scale = {seen.scale!r}"] if seen.scale != 1 else []
    lines.append(f'centre = ["0 mm", "{y:.6g} mm"]    # where the origin of the file comes to lie')
    return "\n".join(lines) + "\n" + common_keys()


def _free_name(group: str, taken: set[str]) -> str:
    """A name that a conductor may have."""
    plain = "".join("-" if c in './\\*"' or not c.isprintable() else c for c in group).strip() or "part"
    name, k = plain, 2
    while name in taken:
        name, k = f"{plain}-{k}", k + 1
    taken.add(name)
    return name


def _quoted(text: str) -> str:
    return "".join(f"\\u{ord(c):04x}" if c in '"\\' or not c.isprintable() else c for c in text)
