"""Loose curves joined end to end into closed loops, within a stated gap."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components
from scipy.spatial import cKDTree

from crosscurrent.geometries.arrays import BoolArray, FloatArray, IntArray
from crosscurrent.geometries.errors import DrawingError, GeometryError
from crosscurrent.geometries.plane.outline import Outline

from .curves import Run
from .sketch import Stroke

MOST_PAIRS = 5_000_000  # of ends within the gap of one another
MOST_DOUBLES = 50  # curves between the same two places that are compared


@dataclass(frozen=True, eq=False)
class Joined:
    """What became of the strokes of one layer.

    Attributes
    ----------
    loops : tuple of Outline
        Counter-clockwise, no two alike.
    open_ends : tuple of (2, 2) float
        Beginning and end of every chain that does not close.
    branches : tuple of (2,) float
        Places where more than two curves meet.
    doubles : int
        Loops and curves drawn a second time.
    widest : float
        Largest gap that was closed.
    flat : int
        Loops that enclose no area.
    """

    loops: tuple[Outline, ...]
    open_ends: tuple[FloatArray, ...]
    branches: tuple[FloatArray, ...]
    doubles: int
    widest: float
    flat: int


def join(strokes: Sequence[Stroke], gap: float) -> Joined:
    """Close the strokes of a layer.

    Parameters
    ----------
    strokes : sequence of Stroke
    gap : float
        Ends nearer than this are one place; each moves to their middle.

    Raises
    ------
    DrawingError
        So many ends lie within the gap that it cannot be told which belong together.

    Examples
    --------
    >>> from crosscurrent.geometries.drawings.curves import IDENTITY, polyline
    >>> corners = [(0, 0), (4, 0), (4, 3.0001), (0, 3), (0, 0)]
    >>> sides = [Stroke("0", polyline(corners[k:k + 2], [0.0], IDENTITY), False) for k in range(4)]
    >>> round(join(sides, 1e-3).loops[0].area, 2)
    12.0
    """
    loops = [run for stroke in strokes if stroke.closed and (run := _closed(stroke.run, gap)) is not None]
    pools: dict[int, list[Run]] = defaultdict(list)
    for stroke in strokes:
        if not stroke.closed:
            pools[stroke.group].append(stroke.run)
    open_ends: list[FloatArray] = []
    branches: list[FloatArray] = []
    doubles, widest = 0, 0.0
    for runs in pools.values():
        pool = _Pool(runs, gap)
        found, ends, places = pool.chains()
        loops += found
        open_ends += ends
        branches += places
        doubles += pool.doubles
        widest = max(widest, pool.widest)
    outlines, flat = _outlines(list({run.points.tobytes(): run for run in loops}.values()))
    distinct = _distinct(outlines, gap)
    doubles += len(loops) - flat - len(distinct)
    return Joined(tuple(distinct), tuple(open_ends), tuple(branches), doubles, widest, flat)


def _closed(run: Run, gap: float) -> Run | None:
    """A closed stroke as a run whose end is its beginning; None when it has no length."""
    last = np.hypot(*(run.points[-1] - run.points[0]))
    if last > gap:
        run = Run(np.concatenate((run.points, run.points[:1])), np.concatenate((run.bulges, [0.0])))
    elif last > 0:
        run = Run(np.concatenate((run.points[:-1], run.points[:1])), run.bulges)
    return run if len(run.bulges) > 1 else None


class _Pool:
    """Loose runs as the edges of a graph whose nodes are the places where their ends meet."""

    def __init__(self, runs: Sequence[Run], gap: float) -> None:
        ends = np.array([run.points[[0, -1]] for run in runs]).reshape(-1, 2)
        self.place, node = _places(ends, gap)
        self.widest = 2 * float(np.hypot(*(ends - self.place[node]).T).max(initial=0.0))
        self.runs: list[Run] = []
        self.ends: list[tuple[int, int]] = []
        self.doubles = 0
        seen: dict[tuple[int, int], list[FloatArray]] = {}
        for run, (a, b) in zip(runs, node.reshape(-1, 2).tolist(), strict=True):
            if a == b and len(run.bulges) == 1 and run.bulges[0] == 0:
                continue  # shorter than the gap
            mark = np.append(_middle(run), _length(run))
            same = seen.setdefault((min(a, b), max(a, b)), [])
            if any(np.abs(mark - other).max() <= 2 * gap for other in same[:MOST_DOUBLES]):
                self.doubles += 1
                continue
            same.append(mark)
            points = run.points.copy()
            points[0], points[-1] = self.place[a], self.place[b]
            self.runs.append(Run(points, run.bulges))
            self.ends.append((a, b))

    def chains(self) -> tuple[list[Run], list[FloatArray], list[FloatArray]]:
        """Closed loops, ends of open chains, places of branches."""
        at: dict[int, list[int]] = defaultdict(list)
        for edge, (a, b) in enumerate(self.ends):
            at[a].append(edge)
            at[b].append(edge)
        loops: list[Run] = []
        loose: list[FloatArray] = []
        used = np.zeros(len(self.runs), dtype=bool)
        starts = [k for k, edges in at.items() if len(edges) != 2] + [k for k, edges in at.items() if len(edges) == 2]
        for start in starts:
            for edge in at[start]:
                if used[edge]:
                    continue
                chain, end = self._walk(start, edge, at, used)
                if end == start:
                    loops.append(Run.chained(chain))
                else:
                    loose.append(self.place[[start, end]])
        branches = [self.place[k] for k, edges in at.items() if len(edges) > 2]
        return loops, loose, branches

    def _walk(self, start: int, edge: int, at: dict[int, list[int]], used: BoolArray) -> tuple[list[Run], int]:
        """Follow curves from a place until they come back, end, or branch."""
        chain: list[Run] = []
        here = start
        while True:
            used[edge] = True
            a, b = self.ends[edge]
            chain.append(self.runs[edge] if a == here else self.runs[edge].backward())
            here = b if a == here else a
            ahead = [e for e in at[here] if not used[e]]
            if here == start or len(at[here]) != 2 or not ahead:
                return chain, here
            edge = ahead[0]


def _places(ends: FloatArray, gap: float) -> tuple[FloatArray, IntArray]:
    """Middles of the ends that lie within the gap of one another, and the place of each end."""
    unique, back = np.unique(ends, axis=0, return_inverse=True)
    back = back.reshape(-1)
    pairs = _near(unique, gap)
    ones = np.ones(len(pairs))
    graph = coo_array((ones, (pairs[:, 0], pairs[:, 1])), shape=(len(unique), len(unique)))
    count, label = connected_components(graph, directed=False)
    weight = np.bincount(label, minlength=count)
    centre = np.column_stack([np.bincount(label, unique[:, k], minlength=count) / weight for k in (0, 1)])
    return centre, label[back].astype(np.int64)


def _middle(run: Run) -> FloatArray:
    """A point half way along a run, the same seen from either end."""
    n = len(run.bulges)
    if n % 2 == 0:
        return np.asarray(run.points[n // 2])
    a, b, bulge = run.points[n // 2], run.points[n // 2 + 1], run.bulges[n // 2]
    return np.asarray((a + b) / 2 + bulge / 2 * np.array([b[1] - a[1], a[0] - b[0]]))


def _length(run: Run) -> float:
    chords, half = np.hypot(*np.diff(run.points, axis=0).T), 2 * np.arctan(run.bulges)
    return float((chords / np.sinc(half / np.pi)).sum())


def _outlines(loops: Sequence[Run]) -> tuple[list[Outline], int]:
    outlines, flat = [], 0
    for run in loops:
        long = np.hypot(*np.diff(run.points, axis=0).T) > 1e-11 * np.ptp(run.points, axis=0).max()
        try:
            outlines.append(Outline(run.points[:-1][long], run.bulges[long]).counter_clockwise())
        except GeometryError:
            flat += 1
    return outlines, flat


def _distinct(outlines: Sequence[Outline], gap: float) -> list[Outline]:
    """Each loop once: hatches and their boundaries, or copies on one another, count as one."""
    if len(outlines) < 2:
        return list(outlines)
    marks = np.array([np.concatenate((o.bounds.ravel(), o.centroid)) for o in outlines])
    first: dict[int, int] = {}
    for i, j in _near(marks, 2 * gap).tolist():
        a, b = outlines[i], outlines[j]
        if i not in first and abs(a.area - b.area) <= gap * (a.perimeter + b.perimeter) / 2:
            first[j] = i
    return [o for k, o in enumerate(outlines) if k not in first]


def _near(points: FloatArray, reach: float) -> IntArray:
    """Pairs (n, 2) of points within reach of one another, in order."""
    tree = cKDTree(points)
    if tree.count_neighbors(tree, reach) - len(points) > MOST_PAIRS:
        hint = "state a smaller gap, or clean the drawing of doubled lines"
        raise DrawingError("curves that can be told apart", "very many within the gap of one another", hint)
    pairs = np.sort(tree.query_pairs(reach, output_type="ndarray"), axis=1)
    return np.asarray(pairs[np.lexsort((pairs[:, 1], pairs[:, 0]))])
