"""What a board shows of a case: its outlines and its figures."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Sequence
from itertools import pairwise
from pathlib import Path

import numpy as np

from crosscurrent.casefile.amount import amount_faults
from crosscurrent.casefile.case import Case
from crosscurrent.casefile.draft import Draft
from crosscurrent.casefile.drawings import beside
from crosscurrent.casefile.faults import CaseError
from crosscurrent.geometries.arrays import FloatArray
from crosscurrent.geometries.errors import CrosscurrentError
from crosscurrent.geometries.plane.axial import whole_part
from crosscurrent.geometries.plane.neighbours import neighbouring_parts
from crosscurrent.geometries.plane.outline import Outline
from crosscurrent.geometries.plane.part import Part
from crosscurrent.postprocess.answers.answers import answers
from crosscurrent.postprocess.answers.validity import ValidityWatch
from crosscurrent.solver.elements.exterior import RETURN
from crosscurrent.solver.field.masses import metal_shares
from crosscurrent.solver.field.problem import Conductor, Problem
from crosscurrent.solver.field.solution import Solution
from crosscurrent.solver.field.solved_flow import SolvedFlow

from .labels import labels
from .words import Plain

EMPTY = [[-0.02, -0.02], [0.02, 0.02]]  # what a board without a part shows [m]
STEPS = 24  # straight pieces of a quarter of a circle


def scene(case: Case) -> Plain:
    """Outlines of all parts in order of the problem, with the rows of the case file that they come from.

    Lengths in m. A row moves as a whole.
    """
    problem = case.problem()
    rows = {name: k for k, row in enumerate(case.data.conductor) for name in row.copies}
    ways = {n: ("out", c.name) for c in problem.circuits for n in c.out}
    ways |= {n: ("back", c.name) for c in problem.circuits for n in c.back}
    parts = []
    for conductor in problem.conductors:
        name = conductor.part.name
        row = rows.get(name, rows.get(name.rsplit(".", 1)[0]))
        parts.append(_part(conductor.part, row, ways.get(name, ("", "")), conductor.material.name))
    gaps = [
        {"one": n.one, "other": n.other, "gap": n.gap} for n in neighbouring_parts(case.envelopes)
    ]
    bounds = problem.section.bounds
    return {"parts": parts, "gaps": gaps, "bounds": bounds.tolist(), "axial": case.axial}


def _part(part: Part, row: int | None, carries: tuple[str, str], metal: str) -> Plain:
    low, high = part.bounds
    return {
        "name": part.name, "row": row, "way": carries[0], "circuit": carries[1], "metal": metal,
        "half": part.area / sum(o.perimeter for o in part.outlines),
        "outlines": [_polygon(o).round(9).ravel().tolist() for o in part.all_outlines],
        "low": low.tolist(), "high": high.tolist(),
    }  # fmt: skip


def sketch(text: str, folder: Path) -> Plain | None:
    """Where the conductors of a text stand that is at fault elsewhere; none where one of them is at fault itself."""
    try:
        draft = Draft(beside(tomllib.loads(text), folder), None)
        if amount_faults(draft) or draft.placed.faults or len(draft.conductors) < len(draft.rows("conductor")):
            return None
        ways = {w: (way, c.name) for c in draft.circuits.values() for way in ("out", "back") for w in getattr(c, way)}
        parts = []
        for row, table in draft.conductors.items():
            for part in table.parts():
                whole = table.name, f"{table.name}.*"
                carries = next((ways[name] for name in (part.name, *whole) if name in ways), ("", ""))
                parts.append(_part(whole_part(part) if draft.axial else part, row, carries, table.material))
    except (tomllib.TOMLDecodeError, CrosscurrentError):
        return None
    if not parts:
        return {"parts": [], "gaps": [], "bounds": EMPTY, "axial": draft.axial}
    bounds = [np.min([p["low"] for p in parts], axis=0).tolist(), np.max([p["high"] for p in parts], axis=0).tolist()]
    return {"parts": parts, "gaps": [], "bounds": bounds, "axial": draft.axial}


def _polygon(outline: Outline) -> FloatArray:
    """Corners and points of arcs, (n, 2) [m]."""
    found = []
    for side, sweep in enumerate(outline.sweeps):
        count = max(1, int(np.ceil(abs(sweep) / (np.pi / 2) * STEPS)))
        found.append(outline.at(np.full(count, side), np.arange(count) / count)[0])
    return np.concatenate(found)


def tables(text: str) -> Plain:
    """What the text says, for the forms; nothing where it is no TOML."""
    try:
        found = tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        return {}
    return {key: _plain(value) for key, value in found.items()}


def _plain(value: object) -> object:
    if isinstance(value, dict):
        return {key: _plain(one) for key, one in value.items()}
    if isinstance(value, list):
        return [_plain(one) for one in value]
    return value if isinstance(value, (str, int, float, bool)) else str(value)


def faults(error: CrosscurrentError) -> list[Plain]:
    """What is wrong with a text, in the words of the command line: "what" at "where", and the line."""
    if isinstance(error, CaseError):
        return [
            {"line": f.line, "key": f.key, "place": f.place, "what": f.what,
             "where": ", ".join(filter(None, (f.place, labels(f.key, f.place.partition(" ")[0]))))}
            for f in error.faults
        ]  # fmt: skip
    return [fault(str(error))]


def fault(what: str) -> Plain:
    """One that no line is to blame for."""
    return {"line": None, "key": "", "place": "", "where": "", "what": what}


def followed(flow: SolvedFlow) -> Plain:
    """Figures of a quick solve, without bars."""
    problem, losses = flow.problem, flow.powers.real
    of = dict(zip(problem.names, losses.tolist(), strict=True))
    circuits, coupled = [], len(problem.circuits) > 1
    for c in problem.circuits:
        found: Plain = {"name": c.name, "current": abs(c.current), "own": coupled}
        if c.current:
            lost = sum(of[name] for name in (*c.out, *c.back))
            across = (flow.circuit(c) / c.current).real
            found["resistance"] = _number(lost / abs(c.current) ** 2 if coupled else across)
            found["inductance"] = _number(flow.inductance(c))
        circuits.append(found)
    conductors = [
        {"name": c.part.name, "loss": float(loss), "skin": _skin(c, flow.frequency), "temperature": c.temperature}
        for c, loss in zip(problem.conductors, losses, strict=True)
    ]
    around = _around(problem, float(RETURN * flow.discretisation.mesh.radius))
    total = float(losses.sum())
    return {"circuits": circuits, "conductors": conductors, "total": total, "sentences": [], "around": around}


def settled(case: Case, solution: Solution) -> Plain:
    """Figures of a whole solve with their bars, and the sentences that explain them."""
    point = answers(solution)
    circuits = []
    for c in point.circuits.values():
        own = point.coupled and c.own_dc_resistance > 0
        loop = c.resistance, c.resistance_error, c.resistance_ratio
        r, error, ratio = (c.own_resistance, c.own_resistance_error, c.own_ratio) if own else loop
        circuits.append(
            {"name": c.name, "current": abs(c.current), "own": own, "resistance": _number(r),
             "resistance_error": _number(error), "inductance": _number(c.inductance),
             "inductance_error": _number(c.inductance_error), "ratio": _number(ratio)}
        )  # fmt: skip
    conductors = [
        {"name": c.name, "loss": c.loss, "loss_error": _number(c.loss_error), "skin": c.skin_depth,
         "peak": c.peak_current_density, "ratio": _number(c.loss_ratio), "temperature": of.temperature}
        for c, of in zip(point.conductors.values(), solution.problem.conductors, strict=True)
    ]  # fmt: skip
    errors = [c.loss * (c.loss_error or 0.0) for c in point.conductors.values()]
    said = [f"{c.name}: {c.sentence}" for c in point.conductors.values() if c.sentence]
    found = (*solution.warnings, *ValidityWatch(case.length).warnings(solution))
    warned = [*case.warnings, *(w.text for w in found)]
    return {
        "circuits": circuits, "conductors": conductors, "total": point.total_loss,
        "total_error": _number(sum(errors) / point.total_loss) if point.total_loss else None, "sentences": said,
        "around": _around(solution.problem, point.return_radius),
        "warnings": list(dict.fromkeys(warned)), "mass": None if case.axial else _mass(solution),
    }  # fmt: skip


def _around(problem: Problem, radius: float) -> float | None:
    """Radius of the circle on which a current returns that no conductor takes back [m]."""
    return radius if any(c.current and not c.back for c in problem.circuits) else None


def _mass(solution: Solution) -> float | None:
    """Of all metal [kg/m]; none where a density is not known."""
    known = [share.mass for share in metal_shares(solution)]
    return None if None in known else sum(mass or 0.0 for mass in known)


def _number(value: float | None) -> float | None:
    return None if value is None or not np.isfinite(value) else float(value)


def _skin(conductor: Conductor, frequency: float) -> float | None:
    """Of its base metal at its temperature [m]."""
    metal = conductor.material
    return metal.skin_depth(frequency, conductor.temperature) if frequency and metal.conductivity else None


def apart(
    low: Sequence[float], high: Sequence[float], others: Sequence[tuple[Sequence[float], Sequence[float]]],
    ways: Sequence[tuple[int, int]], gap: float,
) -> tuple[float, float]:
    """How far a box goes on to be a gap away from all others, one of some ways, the shortest.

    Parameters
    ----------
    low, high : (x, y) [m]
    others : sequence of (low, high)
    ways : sequence of (x, y)
        Of ones and noughts.
    gap : float [m]

    Examples
    --------
    >>> apart((0, 0), (2, 2), [((1, -5), (3, 5)), ((4, 0), (9, 1))], [(1, 0), (0, -1)], 1)
    (0, -8)
    >>> apart((0, 0), (2, 2), [((2.5, 0), (3, 1))], [(-1, 0)], 0.25)
    (0.0, 0)
    """
    found: list[tuple[float, float]] = []
    for way in ways:
        axis = 0 if way[0] else 1
        by = 0.0
        for _ in others:
            at = [[low[k] + abs(way[k]) * by, high[k] + abs(way[k]) * by] for k in (0, 1)]
            hit = [o for o in others if all(at[k][0] < o[1][k] + gap and o[0][k] - gap < at[k][1] for k in (0, 1))]
            if not hit:
                break
            ends = [o[1][axis] + gap - low[axis] if way[axis] > 0 else o[0][axis] - gap - high[axis] for o in hit]
            by = max(ends) if way[axis] > 0 else min(ends)
        found.append((by, 0) if axis == 0 else (0, by))
    return min(found, key=lambda by: abs(by[0]) + abs(by[1]))


def snapped(
    low: Sequence[float], high: Sequence[float], others: Sequence[tuple[Sequence[float], Sequence[float]]],
    near: float, grid: float,
) -> tuple[tuple[float, float], list[Plain]]:
    """How far a moved box goes on to stand at a face, a middle, an equal gap or the grid, whichever is nearest.

    Parameters
    ----------
    low, high : (x, y) [m]
        Of the box where the hand holds it.
    others : sequence of (low, high)
        Boxes that stand.
    near : float
        How near it has to be [m].
    grid : float
        Of places on a grid [m]; 0 for none.

    Returns
    -------
    (dx, dy) [m], and lines to show: {"axis": 0 or 1, "at": place [m]}

    Examples
    --------
    >>> snapped((0.0102, 0.0), (0.02, 0.01), [((0.0, 0.0), (0.01, 0.01))], 3e-4, 0.0)[0]
    (-0.0002, 0.0)
    """
    step, lines = [0.0, 0.0], []
    for axis in (0, 1):
        mine = (low[axis], high[axis], (low[axis] + high[axis]) / 2)
        best, at = near, None
        for place in _places(axis, others):
            for own in mine:
                if abs(place - own) < best:
                    best, at, step[axis] = abs(place - own), place, place - own
        if at is not None:
            lines.append({"axis": axis, "at": at})
        elif grid:
            to = round(mine[2] / grid) * grid - mine[2]
            step[axis] = to if abs(to) < near else 0.0
    return (round(step[0], 12), round(step[1], 12)), lines


def _places(axis: int, others: Sequence[tuple[Sequence[float], Sequence[float]]]) -> Iterator[float]:
    """Faces and middles of boxes, and where a gap like that of two others would end."""
    for low, high in others:
        yield from (low[axis], high[axis], (low[axis] + high[axis]) / 2)
    rows = sorted((low[axis], high[axis]) for low, high in others)
    for (_, end), (begin, _) in pairwise(rows):
        if (gap := begin - end) > 0:
            yield rows[-1][1] + gap
            yield rows[0][0] - gap
