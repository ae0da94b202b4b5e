"""One entity of a DXF file -> strokes: lines, arcs, polylines, ellipses, splines, hatch boundaries."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import Any

import numpy as np

from crosscurrent.geometries.arrays import FloatArray

from .curves import Affine, Run, ellipse, polyline
from .nurbs import spline_run
from .sketch import Sketch

Entity = Any  # of ezdxf, which has no types
FULL = 2 * math.pi
FLAT = 1e-9  # tilt against the plane that counts as none


def flat_place(matrix: Entity) -> Affine | None:
    """The part of a spatial map that acts in the plane; None when it tilts the plane."""
    origin, right, up = (np.array(tuple(matrix.transform(v))) for v in ((0, 0, 0), (1, 0, 0), (0, 1, 0)))
    x, y = right - origin, up - origin
    if abs(x[2]) > FLAT * np.hypot(*x[:2]) or abs(y[2]) > FLAT * np.hypot(*y[:2]):
        return None
    return Affine.of(x[0], y[0], origin[0], x[1], y[1], origin[1])


def draw_entity(entity: Entity, layer: str, place: Affine, sketch: Sketch) -> None:
    """Add the curves of an entity, put where `place` says."""
    kind = entity.dxftype()
    if kind in _IN_OWN_PLANE:
        own = flat_place(entity.ocs().matrix) if entity.ocs().transform else Affine(np.eye(2), np.zeros(2))
        if own is None:
            sketch.skip(layer, f"{kind} that is tilted out of the plane")
            return
        place = place @ own
    CLOSED_OR_LOOSE[kind](entity, layer, place, sketch)


def _line(entity: Entity, layer: str, place: Affine, sketch: Sketch) -> None:
    ends = [tuple(entity.dxf.start)[:2], tuple(entity.dxf.end)[:2]]
    if ends[0] == ends[1]:
        sketch.skip(layer, "LINE without length")
    else:
        sketch.add(layer, polyline(ends, [0.0], place), closed=False)


def _arc(entity: Entity, layer: str, place: Affine, sketch: Sketch) -> None:
    d = entity.dxf
    run = _circular(d.center, d.radius, d.start_angle, d.end_angle, place)
    sketch.add(layer, run, closed=_returns(run))


def _circle(entity: Entity, layer: str, place: Affine, sketch: Sketch) -> None:
    d = entity.dxf
    if not abs(d.radius) > 0:
        sketch.skip(layer, "CIRCLE without radius")
        return
    # from the lower right, so that each quarter faces one side
    sketch.add(layer, _circular(d.center, abs(d.radius), -45.0, 315.0, place), closed=True)


def _circular(centre: Entity, radius: float, start: float, end: float, place: Affine) -> Run:
    """Counter-clockwise from one angle [deg] to the other."""
    sweep = (end - start) % 360 or 360.0
    return ellipse(tuple(centre)[:2], (radius, 0), (0, radius), math.radians(start), math.radians(sweep), place)


def _ellipse(entity: Entity, layer: str, place: Affine, sketch: Sketch) -> None:
    d = entity.dxf
    up = 1.0 if d.extrusion.z >= 0 else -1.0
    if abs(d.major_axis.z) > FLAT * d.major_axis.magnitude or math.hypot(d.extrusion.x, d.extrusion.y) > FLAT:
        sketch.skip(layer, "ELLIPSE that is tilted out of the plane")
        return
    run = _elliptic(d.center, d.major_axis, up * d.ratio, d.start_param, d.end_param, place)
    sketch.add(layer, run, closed=_returns(run))


def _elliptic(centre: Entity, major: Entity, ratio: float, start: float, end: float, place: Affine) -> Run:
    x, y = tuple(major)[:2]
    sweep = (end - start) % FULL
    if sweep < 1e-9 or sweep > FULL - 1e-9:
        sweep = FULL
    return ellipse(tuple(centre)[:2], (x, y), (-y * ratio, x * ratio), start, sweep, place)


def _spline(entity: Entity, layer: str, place: Affine, sketch: Sketch) -> None:
    _add_spline(entity.construction_tool(), bool(entity.closed), layer, place, sketch, 0)


def _add_spline(tool: Entity, closed: bool, layer: str, place: Affine, sketch: Sketch, group: int) -> None:
    run = spline_run(
        np.array([tuple(p)[:2] for p in tool.control_points]),
        np.array(tool.weights() or [1.0] * len(tool.control_points)),
        np.array(tool.knots()),
        int(tool.degree),
        place,
    )
    sketch.add(layer, run, closed=closed or _returns(run), group=group)


def _lwpolyline(entity: Entity, layer: str, place: Affine, sketch: Sketch) -> None:
    _add_corners([tuple(p) for p in entity.get_points("xyb")], bool(entity.closed), layer, place, sketch)


def _polyline(entity: Entity, layer: str, place: Affine, sketch: Sketch) -> None:
    if not (entity.is_2d_polyline or entity.is_3d_polyline):
        sketch.skip(layer, "POLYLINE that is a mesh in space")
        return
    corners = []
    for vertex in entity.vertices:
        if vertex.dxf.get("flags", 0) & 16:  # control point of a smoothed polyline, not on it
            continue
        x, y, _ = vertex.dxf.location
        corners.append((x, y, vertex.dxf.get("bulge", 0.0) if entity.is_2d_polyline else 0.0))
    _add_corners(corners, bool(entity.is_closed), layer, place, sketch)


def _add_corners(
    corners: Sequence[tuple[float, ...]], closed: bool, layer: str, place: Affine, sketch: Sketch, group: int = 0
) -> None:
    """A polyline of (x, y, bulge); corners that repeat the one before are dropped."""
    kept = [c for k, c in enumerate(corners) if k + 1 == len(corners) or c[:2] != corners[k + 1][:2]]
    if closed and len(kept) > 1 and kept[0][:2] != kept[-1][:2]:
        kept.append((*kept[0][:2], 0.0))
    if len(kept) < 2:
        sketch.skip(layer, "polyline without length")
        return
    run = polyline([c[:2] for c in kept], [c[2] for c in kept[:-1]], place)
    sketch.add(layer, run, closed=closed or _returns(run), group=group)


def _solid(entity: Entity, layer: str, place: Affine, sketch: Sketch) -> None:
    """A filled triangle or quadrilateral; its third and fourth corner stand crosswise in the file."""
    d = entity.dxf
    corners = [d.vtx0, d.vtx1, d.vtx3, d.vtx2] if d.hasattr("vtx3") else [d.vtx0, d.vtx1, d.vtx2]
    _add_corners([(p.x, p.y, 0.0) for p in corners], True, layer, place, sketch)


def _hatch(entity: Entity, layer: str, place: Affine, sketch: Sketch) -> None:
    for path in entity.paths:
        if path.path_type_flags & 8:  # the box around a text
            continue
        if hasattr(path, "vertices"):
            _add_corners([tuple(v) for v in path.vertices], True, layer, place, sketch)
            continue
        group = len(sketch.strokes) + 1
        for edge in path.edges:
            _EDGES[type(edge).__name__](edge, layer, place, sketch, group)


def _line_edge(edge: Entity, layer: str, place: Affine, sketch: Sketch, group: int) -> None:
    ends = [tuple(edge.start)[:2], tuple(edge.end)[:2]]
    if ends[0] != ends[1]:
        sketch.add(layer, polyline(ends, [0.0], place), closed=False, group=group)


def _arc_edge(edge: Entity, layer: str, place: Affine, sketch: Sketch, group: int) -> None:
    run = _circular(edge.center, edge.radius, edge.start_angle, edge.end_angle, place)
    sketch.add(layer, run, closed=_returns(run), group=group)


def _ellipse_edge(edge: Entity, layer: str, place: Affine, sketch: Sketch, group: int) -> None:
    run = _elliptic(edge.center, edge.major_axis, edge.ratio, edge.start_param, edge.end_param, place)
    sketch.add(layer, run, closed=_returns(run), group=group)


def _spline_edge(edge: Entity, layer: str, place: Affine, sketch: Sketch, group: int) -> None:
    _add_spline(edge.construction_tool(), False, layer, place, sketch, group)


def _returns(run: Run) -> bool:
    """Whether a run ends where it begins."""
    extent: FloatArray = np.ptp(run.points, axis=0)
    return len(run.bulges) > 1 and bool(np.hypot(*(run.points[-1] - run.points[0])) <= 1e-9 * extent.max())


_EDGES: dict[str, Callable[..., None]] = {
    "LineEdge": _line_edge,
    "ArcEdge": _arc_edge,
    "EllipseEdge": _ellipse_edge,
    "SplineEdge": _spline_edge,
}
CLOSED_OR_LOOSE: dict[str, Callable[[Entity, str, Affine, Sketch], None]] = {
    "LINE": _line,
    "ARC": _arc,
    "CIRCLE": _circle,
    "ELLIPSE": _ellipse,
    "SPLINE": _spline,
    "LWPOLYLINE": _lwpolyline,
    "POLYLINE": _polyline,
    "SOLID": _solid,
    "TRACE": _solid,
    "HATCH": _hatch,
    "MPOLYGON": _hatch,
}
_IN_OWN_PLANE = {"ARC", "CIRCLE", "LWPOLYLINE", "POLYLINE", "SOLID", "TRACE", "HATCH", "MPOLYGON"}
