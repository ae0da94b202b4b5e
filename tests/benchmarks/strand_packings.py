"""Search anew for the densest packings of equal circles in a circle, and write solver/metals/strand_packings.csv.

`python tests/benchmarks/strand_packings.py 91 10`: of 91 circles down to 3, each with 10 s of processor time per 37
circles; packings in the file that are denser stay. From random places, rings, lattices, what is known shaken, and one
more circle less one: overlaps are pushed apart (L-BFGS), then the least distance is raised by linear programmes.
"""

from __future__ import annotations

import math
import sys
import time
from pathlib import Path

import numpy as np
from scipy.optimize import linprog, minimize
from scipy.sparse import coo_matrix

from crosscurrent.geometries.arrays import FloatArray, IntArray
from crosscurrent.solver.metals import strand_packing

FILE = Path(strand_packing.__file__).with_name("strand_packings.csv")
LESS = 12  # circles that are tried to be left out of a packing of one more


def spacing(places: FloatArray) -> float:
    """Least distance over the radius of the outermost."""
    one, other = np.triu_indices(len(places), 1)
    return float(np.hypot(*(places[one] - places[other]).T).min() / np.hypot(*places.T).max())


def overlap(flat: FloatArray, apart: float, one: IntArray, other: IntArray) -> tuple[float, FloatArray]:
    """Squares of overlaps and of what is beyond the unit circle, and their slopes."""
    places = flat.reshape(-1, 2)
    way = places[one] - places[other]
    distance, away = np.hypot(*way.T) + 1e-300, np.hypot(*places.T) + 1e-300
    short, beyond = np.maximum(apart - distance, 0), np.maximum(away - 1, 0)
    push = (-2 * short / distance)[:, None] * way
    slope = (2 * beyond / away)[:, None] * places
    for k in (0, 1):
        slope[:, k] += np.bincount(one, push[:, k], len(places)) - np.bincount(other, push[:, k], len(places))
    return float(short @ short + beyond @ beyond), slope.ravel()


def polished(places: FloatArray, steps: int = 25) -> FloatArray:
    """The local optimum: largest least distance in the unit circle."""
    count = len(places)
    one, other = np.triu_indices(count, 1)
    places = places / np.hypot(*places.T).max()
    best = spacing(places)
    trust = 0.15 * best
    for _ in range(steps):
        way = places[one] - places[other]
        distance, away = np.hypot(*way.T), np.hypot(*places.T)
        near, out = distance < best + 3 * trust + 1e-9, np.nonzero(away > 1 - 2 * trust - 1e-9)[0]
        i, j, unit, rim = one[near], other[near], (way / distance[:, None])[near], (places / away[:, None])[out]
        pair, last = np.arange(len(i)), len(i) + np.arange(len(out))
        rows = np.concatenate([pair, pair, pair, pair, pair, last, last])
        columns = np.concatenate([2 * i, 2 * i + 1, 2 * j, 2 * j + 1, np.full(len(i), 2 * count), 2 * out, 2 * out + 1])
        entries = np.concatenate([-unit.T.ravel(), unit.T.ravel(), np.ones(len(i)), rim.T.ravel()])
        matrix = coo_matrix((entries, (rows, columns)), shape=(len(i) + len(out), 2 * count + 1)).tocsr()
        bounds = [(-trust, trust)] * (2 * count) + [(0, None)]
        limits = np.concatenate([distance[near], 1 - away[out]])
        found = linprog(np.r_[np.zeros(2 * count), -1.0], A_ub=matrix, b_ub=limits, bounds=bounds, method="highs")
        if found.status:
            break
        moved = places + found.x[:-1].reshape(count, 2)
        moved /= np.hypot(*moved.T).max()
        gain = spacing(moved) - best
        if gain > 0:
            places, best = moved, best + gain
        trust = trust / 4 if gain <= 0 else trust / 2 if gain < 0.05 * trust else trust
        if trust < 1e-14:
            break
    return places


def started(count: int, known: FloatArray | None, rng: np.random.Generator) -> FloatArray:
    """Places to begin with, in the unit circle."""
    way = rng.random()
    if known is not None and way < 0.25:
        return np.asarray(known + spacing(known) * rng.choice([0.1, 0.2, 0.4]) * rng.standard_normal((count, 2)))
    if known is not None and way < 0.5:
        moved = known.copy()
        some = rng.choice(count, min(count, int(rng.integers(1, 4))), replace=False)
        moved[some] = _in_circle(len(some), rng)
        return moved
    shells = (math.isqrt(12 * count - 3) - 3) // 6
    if way < 0.7 and 1 + 3 * shells * (shells + 1) == count:  # rings that are turned on, each by the same
        turn, rings = rng.random() / 2, [np.zeros((1, 2))]
        for k in range(1, shells + 1):
            angle = 2 * math.pi * (np.arange(6 * k) + turn * (k - 1)) / (6 * k)
            rings.append(k / shells * np.column_stack((np.cos(angle), np.sin(angle))))
        return np.concatenate(rings) + 0.01 / shells * rng.standard_normal((count, 2))
    if way < 0.8:
        line = np.arange(-12, 13.0)
        lattice = np.stack(np.meshgrid(line, line), -1).reshape(-1, 2) @ [[1.0, 0.0], [0.5, math.sqrt(3) / 2]]
        lattice = lattice - rng.random(2)
        nearest = lattice[np.argsort(np.hypot(*lattice.T))[:count]]
        return np.asarray(nearest / np.hypot(*nearest.T).max())
    return _in_circle(count, rng)


def _in_circle(count: int, rng: np.random.Generator) -> FloatArray:
    angle, away = 2 * math.pi * rng.random(count), np.sqrt(rng.random(count))
    return np.column_stack((away * np.cos(angle), away * np.sin(angle)))


def searched(count: int, known: FloatArray | None, seconds: float, rng: np.random.Generator) -> FloatArray:
    """The densest found in some processor time."""
    one, other = np.triu_indices(count, 1)
    begun = time.process_time()
    while known is None or time.process_time() - begun < seconds:
        apart = 2 / (math.sqrt(count / 0.8) - 1) if known is None else 1.002 * spacing(known)
        start = started(count, known, rng).ravel()
        options = {"maxiter": 400, "maxfun": 500, "ftol": 1e-13, "gtol": 1e-9}
        pushed = minimize(overlap, start, (apart, one, other), "L-BFGS-B", jac=True, options=options).x.reshape(-1, 2)
        if known is None or spacing(pushed) > 0.97 * spacing(known):
            found = polished(pushed)
            if known is None or spacing(found) > spacing(known) + 1e-11:
                known = found
    return known


def main(most: int, seconds: float) -> None:
    """Search, and write the file anew."""
    rng = np.random.default_rng()
    found = {count: places for count, (_, places) in enumerate(strand_packing.packings(), 1)}
    for count in range(most, 2, -1):
        known = found.get(count)
        known = None if known is None else known / np.hypot(*known.T).max()
        more = found.get(count + 1)
        if more is not None:
            less = (polished(np.delete(more, k, 0), 12) for k in np.unique(np.linspace(0, count, LESS).astype(int)))
            known = max((*less, *(() if known is None else (known,))), key=spacing)
        known = searched(count, known, seconds * count / 37, rng)
        found[count] = known / spacing(known)
        print(count, f"{1 + 2 / spacing(known):.6f}", flush=True)
    lines = ["strands,x,y"]
    for count, places in sorted(found.items()):
        order = np.lexsort((np.arctan2(places[:, 1], places[:, 0]).round(6), np.hypot(*places.T).round(6)))
        lines += [f"{count},{x:.9f},{y:.9f}".replace("-0.000000000", "0.000000000") for x, y in places[order]]
    FILE.write_text("\n".join(lines) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main(int(sys.argv[1]), float(sys.argv[2]))
