"""Benchmark: how many solves two searches take to come within 0.5 % of a dense grid, from ten seeds.

Run from the checkout:  python tests/benchmarks/searches.py
Wanted: all ten seeds, in at most 25 solves in the median. A seed is that of the fill that begins the search: 8 designs
with their slopes, then 3 starts. The best is the least of a dense grid and of all searches. Takes half an hour.
"""

from __future__ import annotations

import itertools
import statistics
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from crosscurrent.casefile.case import Case
from crosscurrent.casefile.reader import read_case
from crosscurrent.studies.design import Design
from crosscurrent.studies.plan import Question, Range, fill
from crosscurrent.studies.promise import promising
from crosscurrent.studies.search import Search
from crosscurrent.studies.trial import Trial, tried
from crosscurrent.studies.ways import Ways

CASE = """
[frequency]
at = ["85 kHz"]
[named]
{named}
[[conductor]]
name = "outgoing"
{shape}
material = "copper"
temperature = "70 degC"
[[conductor]]
name = "return"
{shape}
material = "copper"
temperature = "70 degC"
place = {{ below = "outgoing", gap = {gap} }}
[[circuit]]
name = "feed"
current = "900 A"
out = ["outgoing"]
back = ["return"]
[limits]
inductance = "{limit}"
"""
BARS = CASE.format(
    named='wide = "80 mm"\nthick = "3 mm"', gap='"1 mm"', limit="20 nH/m",
    shape='shape = "bar"\nwidth = "wide"\nthickness = "thick"\nedge_radius = "0.1 mm"',
)  # fmt: skip
TUBES = CASE.format(
    named='size = "16 mm"\nwall = "1 mm"\ngap = "5 mm"', gap='"gap"', limit="350 nH/m",
    shape='shape = "tube"\ndiameter = "size"\nwall = "wall"',
)  # fmt: skip
WIDE, THICK = Range("wide", 0.04, 0.15, "length"), Range("thick", 0.0003, 0.008, "length")
SIZE, WALL, GAP = (
    Range("size", 0.008, 0.03, "length"), Range("wall", 0.0003, 0.003, "length"), Range("gap", 0.002, 0.03, "length")
)  # fmt: skip
PROBLEMS = (
    ("two bars: width, thickness", BARS, (WIDE, THICK), (25, 25)),
    ("two tubes: diameter, wall, gap", TUBES, (SIZE, WALL, GAP), (9, 13, 9)),
)
QUESTION = Question(("loss",), 85e3, "feed")
DESIGNS, STARTS, SEEDS, WITHIN = 8, 3, 10, 1.005


def designs(case: Case, ranges: tuple[Range, ...], seed: int) -> Iterator[Design]:
    """Those of a whole search in the order in which they are solved."""
    along = tuple(r.key for r in ranges)
    first = []
    for place in fill(DESIGNS, len(ranges), seed):
        first.append(tried(Trial(case, values(ranges, place), QUESTION, along)))
        yield first[-1]
    for start in promising(first, ranges, "loss_w_per_m", STARTS):
        ways = Ways([Search(case, {}, ranges, QUESTION, "loss", start)])
        for trial in ways:
            found = tried(trial)
            yield found
            ways.take(found)


def values(ranges: tuple[Range, ...], place: tuple[float, ...]) -> dict[str, float]:
    """At shares of the ranges."""
    return {r.key: r.at(share) for r, share in zip(ranges, place, strict=True)}


def losses(of: Iterator[Design]) -> list[float]:
    """Of designs in their order; endless where one breaks a limit."""
    return [d.figures["loss_w_per_m"] if d.verdict == "pass" else np.inf for d in of]


def main() -> None:
    """Print what was wanted and what was found."""
    for name, text, ranges, counts in PROBLEMS:
        with tempfile.TemporaryDirectory() as folder:
            path = Path(folder) / "case.toml"
            path.write_text(text, encoding="utf-8")
            case = read_case(path)
        places = itertools.product(*(np.linspace(0, 1, count).tolist() for count in counts))
        grid = min(losses(tried(Trial(case, values(ranges, place), QUESTION)) for place in places))
        ways = [losses(designs(case, ranges, seed)) for seed in range(SEEDS)]
        best = min(grid, *map(min, ways))
        taken = [next((k for k, loss in enumerate(way, 1) if loss <= WITHIN * best), None) for way in ways]
        reached = [count for count in taken if count is not None]
        print(
            f"{name}: {len(reached)} of {SEEDS} seeds (wanted all), in {statistics.median(reached):g} solves in the "
            f"median (wanted at most 25), {max(reached)} at most; {statistics.median(map(len, ways)):g} in all; grid "
            f"{grid:.6g} W/m, best {best:.6g} W/m",
            flush=True,
        )


if __name__ == "__main__":
    main()
