"""How a section round an axis is drawn: as it would be cut, both halves, the axis a chain line, marks for the current.

Solved is the half right of the axis; what is left of it is its mirror image, with the current the other way.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from matplotlib.axes import Axes

from crosscurrent.geometries.arrays import FloatArray
from crosscurrent.geometries.plane.axial import mirror_image
from crosscurrent.geometries.plane.inscribed import largest_inscribed_circle
from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.shapes import Shape
from crosscurrent.geometries.plane.sides import Sides
from crosscurrent.postprocess.answers.field_values import reference_phase
from crosscurrent.solver.field.flow import SteadyFlow

from .panels import inches_wide
from .style import INK, QUIET, SMALL
from .views import LONGEST, View, folded, groups, middle_text, whole_window

FLIP = np.array([-1.0, 1.0])
CHAIN = (0, (10.0, 2.0, 1.6, 2.0))  # long and short dashes in turn: a centre line
BEYOND = 0.05  # that the axis goes on above what a panel shows; under it stands the scale bar with its words [in]
NAME = np.array([0.36, 0.2])  # width and height that the axis' name takes, with air [in]
MARK, LEAST = 6.5, 2.6  # largest and smallest diameter of a mark of the current [pt]
FILLING = 0.7  # of the room in a turn that its mark takes
NARROW_VIEW = 0.02  # of its width that a view of the right half shows left of the axis


def with_mirrored(parts: Sequence[Part], crosses: Sequence[bool]) -> tuple[Part, ...]:
    """Parts of the right half, and after them the mirror images of those that do not lie across the axis."""
    return (*parts, *(mirror_image(p) for p, across in zip(parts, crosses, strict=True) if not across))


def views(parts: Sequence[Part], count: int, margin: float) -> list[View]:
    """Windows of groups of parts as in the plane, those that lie about the axis whole, far from it the right half.

    Where there are several, the first shows both halves, if that is not a mere line.

    Parameters
    ----------
    parts : sequence of Part
        Those of the right half and their mirror images, as from `with_mirrored`.
    count : int
        Of those of the right half.
    margin : float
        In shares of the longer side of a window.
    """
    right = [members for members in groups(parts) if members[0] < count]
    found = []
    for members in right:
        own = [parts[k] for k in members]
        names = ", ".join(p.name for p in own if p.name)
        view = whole_window(own, margin)
        found.append(replace(view, caption=f"{names} at {middle_text(view, axial=True)}", apart=True))
    whole = whole_window(parts, margin)
    if len(right) == 1 and _is_about_axis(found[0]):
        found = [whole]
    elif whole.aspect < LONGEST and whole.aspect > 1 / LONGEST:
        found.insert(0, replace(whole, caption="cut along the axis"))
    return [piece for view in found for piece in folded(_right_half(view), axial=True)]


def _is_about_axis(view: View) -> bool:
    return bool(view.window[0, 0] < 0)


def _right_half(view: View) -> View:
    """Of a long window across the axis its right half; others as they are."""
    if not _is_about_axis(view) or view.aspect <= LONGEST:
        return view
    window = view.window.copy()
    window[0, 0] = -NARROW_VIEW * window[1, 0]
    return replace(view, window=window)


def halves(window: FloatArray, axial: bool) -> list[tuple[FloatArray, FloatArray]]:
    """What a window (2, 2) [m] shows of the right half, and of the left one: its mirror image, and by what to multiply.

    Examples
    --------
    >>> [(part.tolist(), sign.tolist()) for part, sign in halves(np.array([[-1.0, 0.0], [2.0, 1.0]]), True)]
    [([[-1.0, 0.0], [2.0, 1.0]], [1.0, 1.0]), ([[-2.0, 0.0], [1.0, 1.0]], [-1.0, 1.0])]
    """
    found = [(window, np.ones(2))]
    if axial and window[0, 0] < 0:
        found.append((np.array([[-window[1, 0], window[0, 1]], [-window[0, 0], window[1, 1]]]), FLIP))
    return found


def boxes_of(parts: Sequence[Part]) -> list[FloatArray]:
    """What parts extend over, (2, 2) each: lower left and upper right corner [m]."""
    return [np.asarray(part.bounds) for part in parts]


def name_top(boxes: Sequence[FloatArray], axes: Axes) -> float | None:
    """How high the axis' name stands right of it: at the top, or under the highest box that leaves it room.

    In the units of the panel; None where no height is free: it then stands above the panel.
    """
    inch = np.ptp(axes.get_xlim()) / inches_wide(axes)
    (low, high), (wide, tall) = axes.get_ylim(), NAME * inch
    spans = [(b[0, 1], b[1, 1]) for b in boxes if b[0, 0] < wide and b[1, 0] > 0]
    for top in (high, *sorted((bottom for bottom, _ in spans if bottom < high), reverse=True)):
        if top - tall >= low and all(above <= top - tall or bottom >= top for bottom, above in spans):
            return float(top)
    return None


def draw_axis(axes: Axes, boxes: Sequence[FloatArray], *, directions: bool = True, said: bool = True) -> None:
    """The axis as a chain line through a panel that shows it, its name clear of boxes; r and z at the edges."""
    (left, right), (low, high) = axes.get_xlim(), axes.get_ylim()
    inch = (right - left) / inches_wide(axes)
    if left < 0 < right:
        ends = (low, high + BEYOND * inch)
        axes.plot([0, 0], ends, color=INK, linewidth=0.6, linestyle=CHAIN, clip_on=False, zorder=2.2)
        box = {"boxstyle": "round,pad=0.15", "facecolor": "white", "edgecolor": "none", "alpha": 0.75}
        if said:
            top = name_top(boxes, axes)
            away, aligned = ((4, -3), "top") if top is not None else ((4, 1), "bottom")
            axes.annotate(
                "axis", (0, high if top is None else top), xytext=away, textcoords="offset points", va=aligned,
                fontsize=SMALL, color=QUIET, bbox=box if top is not None else None, annotation_clip=False,
            )  # fmt: skip
    edges = (("r →", (1, 0), 2, "left", "bottom"), ("z\n↑", (0, 1), -3, "right", "top"))
    for text, corner, offset, ha, va in edges if directions else ():
        axes.annotate(
            text, corner, xycoords="axes fraction", xytext=(offset, 0), textcoords="offset points", ha=ha, va=va,
            fontsize=SMALL, color=QUIET, linespacing=0.9, annotation_clip=False,
        )  # fmt: skip
    axes.set(xlim=(left, right), ylim=(low, high))


@dataclass(frozen=True, eq=False)
class CurrentMark:
    """Where a conductor's current is marked, right of the axis.

    Attributes
    ----------
    place : (2,) float
        [m]
    room : float
        Radius of the circle that is free there [m].
    out : bool
        Whether the current comes out of the page there, at the crest of the first circuit's.
    """

    place: FloatArray
    room: float
    out: bool

    def radius(self, axes: Axes) -> float:
        """On a panel [pt]; 0 where there is too little room."""
        left, right = axes.get_xlim()
        points = 72 * inches_wide(axes) / (right - left)
        size = min(MARK, 2 * FILLING * self.room * points)
        return 0.5 * size if size >= LEAST else 0.0


def current_marks(flow: SteadyFlow) -> list[CurrentMark]:
    """Of every conductor that carries a net current, in its bore where it has one round its middle."""
    turn = np.exp(-1j * reference_phase(flow))
    parts = flow.problem.section.parts
    net = 1e-9 * np.abs(flow.currents).max(initial=0.0)
    found = []
    for part, current, across in zip(parts, flow.currents, flow.problem.section.crosses, strict=True):
        along = (current * turn).real
        if abs(current) <= net or across or abs(along) < 0.05 * abs(current):
            continue
        place, room = free_circle(part.shape)
        found.append(CurrentMark(place, room, bool(along > 0)))
    return found


def free_circle(shape: Shape) -> tuple[FloatArray, float]:
    """Middle and radius of the circle a mark stands in: the bore where the middle is in one, else the widest metal."""
    middle = shape.outer.centroid
    for hole in shape.holes:
        if Shape(hole.counter_clockwise()).contains(middle[None])[0]:
            return middle, float(Sides.of(hole).distance(middle[None])[0])
    place, radius = largest_inscribed_circle(shape.outer, shape.holes)
    return np.asarray(place), float(radius)


def draw_marks(axes: Axes, marks: Sequence[CurrentMark]) -> None:
    """A dot in a circle where the current comes out of the page, a cross where it goes in; both halves."""
    (left, right), (low, high) = axes.get_xlim(), axes.get_ylim()
    for mark in marks:
        radius = mark.radius(axes)
        for sign in (1.0, -1.0):
            x, y = mark.place * (sign, 1.0)
            if not radius or not (left < x < right and low < y < high):
                continue
            axes.plot(x, y, "o", color=INK, markersize=2 * radius, markerfacecolor="white", markeredgewidth=0.5,
                      zorder=2.4)  # fmt: skip
            kind, size, line = ("o", 0.6, 0.0) if mark.out == (sign > 0) else ("x", 1.15, 0.5)
            axes.plot(x, y, kind, color=INK, markersize=size * radius, markeredgewidth=line, zorder=2.4)
    axes.set(xlim=(left, right), ylim=(low, high))
