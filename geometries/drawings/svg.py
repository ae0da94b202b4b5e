"""An SVG file -> strokes: paths and basic shapes of the page with all transforms, y turned up.

The tree is walked here, so that nothing of the file is fetched, expanded or repeated without end.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any
from xml.etree import ElementTree

import numpy as np

from crosscurrent.geometries.errors import DrawingError

from .curves import IDENTITY, Affine, Run, ellipse, polyline, rational
from .sketch import DEEPEST, Sketch

Node = ElementTree.Element

# millimetres in a unit (CSS Values and Units 3, section 6.2); px and bare numbers have no size in a workshop
_PHYSICAL = {"mm": 1.0, "cm": 10.0, "in": 25.4, "pt": 25.4 / 72, "pc": 25.4 / 6, "q": 0.25}
_PIXEL = 25.4 / 96  # [mm], the same source
_LENGTH = re.compile(r"\s*([+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?)\s*([a-zA-Z%]*)\s*")
_NUMBERS = re.compile(r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?")
_COMMANDS = re.compile(r"([MmLlHhVvCcSsQqTtAaZz])([^MmLlHhVvCcSsQqTtAaZz]*)")
_TAKES = {"M": 2, "L": 2, "H": 1, "V": 1, "C": 6, "S": 4, "Q": 4, "T": 2, "A": 7, "Z": 1}  # numbers for one segment
_PATH = re.compile(r"[MmLlHhVvCcSsQqTtAaZz0-9eE+\-.,\s]*")
_GROUPS = ("g", "a", "svg", "switch")
_NOT_DRAWN = (
    "defs", "symbol", "clipPath", "mask", "pattern", "marker", "linearGradient", "radialGradient", "filter", "style",
    "title", "desc", "metadata", "namedview", "script", "view", "RDF",
)  # fmt: skip
_INKSCAPE = "{http://www.inkscape.org/namespaces/inkscape}"
_LINK = ("href", "{http://www.w3.org/1999/xlink}href")
LONGEST = 2000  # letters of a length or a transform
MEND = "open it in the program that drew it and save it as plain SVG again"


def is_svg(data: bytes) -> bool:
    """Whether a file's content looks like an SVG."""
    return b"<svg" in data[:20_000] or b":svg" in data[:20_000]


def read_svg(data: bytes) -> Sketch:
    """All outlines of the page; the origin is its lower left corner.

    Parameters
    ----------
    data : bytes
        The file's content.

    Raises
    ------
    DrawingError
        The file is damaged, declares entities, or is past the limits.

    Examples
    --------
    >>> page = b'<svg width="20mm" height="10mm" viewBox="0 0 40 20"><circle cx="8" cy="4" r="2"/></svg>'
    >>> sketch = read_svg(page)
    >>> round(sketch.unit * 1e3, 9), sketch.strokes[0].run.points[:4].mean(axis=0).round(9).tolist()
    (0.5, [8.0, 16.0])
    """
    root = _root(data)
    sketch = Sketch()
    place = _page(root, sketch)
    with np.errstate(all="ignore"):  # what is not finite is left out by the sketch
        _Walk(root, sketch).children(root, place, "page", 0)
    return sketch


def _root(data: bytes) -> Node:
    if re.search(rb"<!ENTITY", data, re.IGNORECASE):
        raise DrawingError("an SVG without declared entities", "<!ENTITY ...>", f"they are not expanded: {MEND}")
    try:
        parser = ElementTree.XMLParser()
        root = ElementTree.fromstring(data, parser)  # leaves comments out
    except (ElementTree.ParseError, ValueError, LookupError, RecursionError) as error:
        raise DrawingError("a sound SVG file", f"a damaged one ({error})", MEND) from None
    if _tag(root) != "svg":
        raise DrawingError("an SVG file", f"XML that begins with <{_tag(root)}>", MEND)
    return root


def _page(root: Node, sketch: Sketch) -> Affine:
    """From user units to the page's lower left corner, y up; sets the size of a user unit if the file tells it."""
    box = _box(root)
    width, height = (_physical(root.get(side, "")) for side in ("width", "height"))
    if len(box) != 4 or min(box[2:]) <= 0:
        if width is not None:
            sketch.unit = _PIXEL * 1e-3
        tall = height / _PIXEL if height is not None else _user(root.get("height", "0")) or 0.0
        return Affine.of(1, 0, 0, 0, -1, tall)
    x, y, wide, tall = box
    across, up = ((size / span if size is not None else None) for size, span in ((width, wide), (height, tall)))
    stretched = root.get("preserveAspectRatio", "").strip().startswith("none")
    scale = across if up is None else up if across is None else across if stretched else min(across, up)
    if scale is None:
        return Affine.of(1, 0, -x, 0, -1, y + tall)
    sketch.unit = scale * 1e-3
    if stretched and up is not None:
        return Affine.of(1, 0, -x, 0, -up / scale, (y + tall) * up / scale)
    # the drawing sits in the middle of a page of another shape
    side = [(size / scale - span) / 2 if size is not None else 0.0 for size, span in ((width, wide), (height, tall))]
    return Affine.of(1, 0, side[0] - x, 0, -1, side[1] + y + tall)


class _Walk:
    """Visits the elements of one file."""

    def __init__(self, root: Node, sketch: Sketch) -> None:
        self.sketch = sketch
        self.named = {node.get("id"): node for node in root.iter() if node.get("id")}

    def children(self, node: Node, place: Affine, layer: str, depth: int, uses: tuple[str, ...] = ()) -> None:
        """The elements inside a group; those of a top group with a name make a layer."""
        for child in node:
            self.sketch.count()
            tag = _tag(child)
            style = child.get("style", "").replace(" ", "")
            if tag in _NOT_DRAWN:
                continue
            if child.get("display") == "none" or "display:none" in style or "visibility:hidden" in style:
                self.sketch.skip(layer, f"{tag} that is hidden")
                continue
            self._visit(child, tag, place, layer, depth, uses)

    def _visit(self, node: Node, tag: str, place: Affine, layer: str, depth: int, uses: tuple[str, ...]) -> None:
        if depth > 4 * DEEPEST or len(uses) > DEEPEST:
            raise DrawingError("groups that end", f"more than {4 * DEEPEST} levels of groups", MEND)
        try:
            place = place @ _transform(node.get("transform", ""))
            if tag in _GROUPS:
                inner = place @ _corner(node) @ _inner(node, node) if tag == "svg" else place
                self.children(node, inner, _layer(node, layer, depth), depth + 1, uses)
            elif tag == "use":
                self._use(node, place, layer, depth, uses)
            elif tag in _SHAPES:
                for run, closed in _SHAPES[tag](node, place, self.sketch):
                    self.sketch.add(layer, run, closed=closed)
            else:
                self.sketch.skip(layer, tag)
        except _Unreadable as error:
            self.sketch.skip(layer, f"{tag} that is damaged ({error})")
        except (ArithmeticError, AttributeError, IndexError, TypeError, ValueError) as error:
            if isinstance(error, DrawingError):
                raise
            self.sketch.skip(layer, f"{tag} that is damaged ({str(error)[:60] or type(error).__name__})")

    def _use(self, node: Node, place: Affine, layer: str, depth: int, uses: tuple[str, ...]) -> None:
        link = next((node.get(key, "") for key in _LINK if node.get(key)), "")
        target = self.named.get(link[1:]) if link.startswith("#") else None
        if target is None:
            self.sketch.skip(layer, f'use of "{link[:60]}", which is not in the file')
            return
        if link in uses:
            raise DrawingError("groups that end", f'"{link[:60]}" used inside itself', MEND)
        spot = place @ _corner(node)
        if _tag(target) == "symbol":
            self.children(target, spot @ _inner(target, node), layer, depth + 1, (*uses, link))
        else:
            self._visit(target, _tag(target), spot, layer, depth + 1, (*uses, link))


class _Unreadable(Exception):
    """An element that cannot be drawn; never leaves this file."""


def _layer(node: Node, layer: str, depth: int) -> str:
    """A group marked as a layer gives its label, a group at the top of the page its name."""
    if node.get(f"{_INKSCAPE}groupmode") == "layer":
        return node.get(f"{_INKSCAPE}label") or node.get("id") or layer
    return node.get("id") or layer if depth == 0 else layer


def _inner(node: Node, holder: Node) -> Affine:
    """Coordinates inside a nested svg or symbol whose viewBox is fitted into the size its holder states."""
    box = _box(node)
    if len(box) != 4:
        return IDENTITY
    width, height = _number(holder, "width"), _number(holder, "height")
    x, y, wide, tall = box
    if min(width, height, wide, tall) <= 0:
        raise _Unreadable("a viewBox without width and height to fit it into")
    scale = min(width / wide, height / tall)
    side, above = (width - scale * wide) / 2, (height - scale * tall) / 2
    return Affine.of(scale, 0, side - scale * x, 0, scale, above - scale * y)


def _box(node: Node) -> list[float]:
    return [float(x) for x in _NUMBERS.findall(node.get("viewBox", "")[:LONGEST])]


def _corner(node: Node) -> Affine:
    return Affine.of(1, 0, _number(node, "x"), 0, 1, _number(node, "y"))


def _rect(node: Node, place: Affine, _: Sketch) -> Iterator[tuple[Run, bool]]:
    x, y, w, h = (_number(node, key) for key in ("x", "y", "width", "height"))
    if min(w, h) <= 0:
        raise _Unreadable("without width or height")
    given = [_number(node, key) if node.get(key) not in (None, "auto") else None for key in ("rx", "ry")]
    rx, ry = (given[k] if given[k] is not None else given[1 - k] or 0.0 for k in (0, 1))
    a, b = min(max(float(rx or 0), 0), w / 2), min(max(float(ry or 0), 0), h / 2)
    corners = [(x + w, y), (x + w, y + h), (x, y + h), (x, y)]
    if a * b == 0:
        yield polyline([*corners, corners[0]], np.zeros(4), place), True
        return
    runs: list[Run] = []
    for k, (cx, cy) in enumerate(corners):
        centre = (cx - a if k in (0, 1) else cx + a, cy + b if k in (0, 3) else cy - b)
        arc = ellipse(centre, (a, 0), (0, b), (k - 1) * np.pi / 2, np.pi / 2, place)
        if runs and np.hypot(*(arc.points[0] - runs[-1].points[-1])) > 1e-12 * (w + h):
            runs.append(Run(np.stack((runs[-1].points[-1], arc.points[0])), np.zeros(1)))
        runs.append(arc)
    yield Run.chained(runs), True


def _ellipse(node: Node, place: Affine, _: Sketch) -> Iterator[tuple[Run, bool]]:
    r = node.get("r")
    rx, ry = (_number(node, "r"),) * 2 if r is not None else (_number(node, "rx"), _number(node, "ry"))
    if min(rx, ry) <= 0:
        raise _Unreadable("without radius")
    yield ellipse((_number(node, "cx"), _number(node, "cy")), (rx, 0), (0, ry), -np.pi / 4, 2 * np.pi, place), True


def _polygon(node: Node, place: Affine, sketch: Sketch) -> Iterator[tuple[Run, bool]]:
    text = node.get("points", "")
    sketch.fits(_count(text) // 2)
    values = [float(x) for x in _NUMBERS.findall(text)]
    if len(values) < 4 or len(values) % 2:
        raise _Unreadable(f"{len(values)} numbers are no list of points")
    corners = np.array(values).reshape(-1, 2)
    corners = corners[np.append(True, np.hypot(*np.diff(corners, axis=0).T) > 0)]
    closed = _tag(node) == "polygon"
    if closed and (corners[0] != corners[-1]).any():
        corners = np.concatenate((corners, corners[:1]))
    if len(corners) > 1:
        returns = closed or bool((corners[0] == corners[-1]).all())
        yield polyline(corners, np.zeros(len(corners) - 1), place), returns


def _count(text: str) -> int:
    """How many numbers a text holds, before any is kept."""
    return sum(1 for _ in _NUMBERS.finditer(text))


def _line(node: Node, place: Affine, _: Sketch) -> Iterator[tuple[Run, bool]]:
    ends = [[_number(node, f"{axis}{k}") for axis in "xy"] for k in (1, 2)]
    if ends[0] != ends[1]:
        yield polyline(ends, [0.0], place), False


def _path(node: Node, place: Affine, sketch: Sketch) -> Iterator[tuple[Run, bool]]:
    """Each stretch of a path from one M to the next."""
    from svgelements import Path

    text = node.get("d", "")
    if not _PATH.fullmatch(text):
        raise _Unreadable("letters that are no path commands")
    sketch.fits(sum(max(1, _count(c[2]) // _TAKES[c[1].upper()]) for c in _COMMANDS.finditer(text)))
    try:
        segments = list(Path(text))
    except (ValueError, IndexError, TypeError, AttributeError, ArithmeticError) as error:
        raise _Unreadable(str(error)[:60] or type(error).__name__) from None
    runs: list[Run] = []
    for segment in [*segments, None]:
        sketch.hurry()
        kind = type(segment).__name__
        if kind in ("Move", "NoneType", "Close"):
            if kind == "Close":
                runs += _side(segment, place)
            if runs:
                run = Run.chained(runs)
                extent = np.ptp(run.points, axis=0).max()
                returns = np.hypot(*(run.points[-1] - run.points[0])) <= 1e-12 * extent and len(run.bulges) > 1
                yield run, kind == "Close" or bool(returns)
            runs = []
        elif kind == "Line":
            runs += _side(segment, place)
        elif kind == "Arc":
            runs.append(_arc(segment, place))
        else:
            runs += _bezier(segment, place)


def _side(segment: Any, place: Affine) -> list[Run]:
    if segment.end is None or segment.start == segment.end:
        return []
    return [polyline([tuple(segment.start), tuple(segment.end)], [0.0], place)]


def _arc(segment: Any, place: Affine) -> Run:
    centre, u, v = (np.array(tuple(p)) for p in (segment.center, segment.prx, segment.pry))
    run = ellipse(centre, u - centre, v - centre, float(segment.get_start_t()), float(segment.sweep), place)
    # the ends as written, so that neighbours meet
    points = run.points.copy()
    points[[0, -1]] = place.points([tuple(segment.start), tuple(segment.end)])
    return Run(points, run.bulges)


def _bezier(segment: Any, place: Affine) -> list[Run]:
    names = ("start", "control", "end") if hasattr(segment, "control") else ("start", "control1", "control2", "end")
    p = np.array([tuple(getattr(segment, name)) for name in names])
    if np.ptp(p, axis=0).max() == 0:
        return []
    to_powers = {
        3: [[1, -2, 1], [-2, 2, 0], [1, 0, 0]],
        4: [[-1, 3, -3, 1], [3, -6, 3, 0], [-3, 3, 0, 0], [1, 0, 0, 0]],
    }[len(p)]
    powers = np.array(to_powers) @ p
    weight = np.append(np.zeros(len(p) - 1), 1.0)
    return [rational(np.column_stack((powers, weight))[None], place)]


def _transform(text: str) -> Affine:
    if not text.strip():
        return IDENTITY
    from svgelements import Matrix

    known = r"(matrix|translate|scale|rotate|skewX|skewY)\s*\([0-9eE+\-.,\s]*\)"
    if len(text) > LONGEST or not re.fullmatch(rf"\s*({known}[\s,]*)*", text):
        raise _Unreadable("a transform that is not understood")
    try:
        m = Matrix(text)
        place = Affine.of(m.a, m.c, m.e, m.b, m.d, m.f)
    except (ValueError, IndexError, TypeError) as error:
        raise _Unreadable(f"a transform that is not understood, {error}") from None
    if not np.isfinite(place.linear).all() or abs(np.linalg.det(place.linear)) < 1e-300:
        raise _Unreadable("a transform that leaves no area")
    return place


def _number(node: Node, key: str) -> float:
    value = _user(node.get(key, "0"))
    if value is None:
        raise _Unreadable(f"{key} is {node.get(key, '')[:30]!r}")
    return value


def _user(text: str) -> float | None:
    """A length in user units; None for percentages and what is no length."""
    match = _length(text)
    if match is None:
        return None
    unit = match[2].lower()
    if unit in ("", "px"):
        return float(match[1])
    return float(match[1]) * _PHYSICAL[unit] / _PIXEL if unit in _PHYSICAL else None


def _length(text: str) -> re.Match[str] | None:
    return _LENGTH.fullmatch(text) if len(text) <= LONGEST else None


def _physical(text: str) -> float | None:
    """A length [mm] with a unit that has a size; None for any other."""
    match = _length(text)
    if match is None or match[2].lower() not in _PHYSICAL:
        return None
    size = float(match[1]) * _PHYSICAL[match[2].lower()]
    return size if size > 0 else None


def _tag(node: Node) -> str:
    return str(node.tag).rpartition("}")[2]


_SHAPES = {
    "rect": _rect,
    "circle": _ellipse,
    "ellipse": _ellipse,
    "polygon": _polygon,
    "polyline": _polygon,
    "line": _line,
    "path": _path,
}
