"""Benchmarks: what it takes to read a finished result, to send it to another process, and to hold ten of them.

Run from the checkout:  python tests/benchmarks/reading.py
Every time is given as a share of the run that made the result.
"""

from __future__ import annotations

import inspect
import pickle
import sys
import time
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

import crosscurrent as cc  # noqa: E402

CASES = ("feed-facing", "water-cooled-feed", "switchboard-in-air", "feed-sweep")


def read_everything(result: cc.Result) -> dict[str, float]:
    """Seconds for each property of a result."""
    taken = {}
    for name, member in inspect.getmembers(type(result)):
        if isinstance(member, property):
            begin = time.perf_counter()
            getattr(result, name)
            taken[name] = time.perf_counter() - begin
    return taken


def main() -> None:
    """Print the tables."""
    print(f"{'case':<22}{'run [s]':>9}{'slowest property':>22}{'[ms]':>9}{'pickle [MB]':>13}{'to and fro / run':>18}")
    for name in CASES:
        begin = time.perf_counter()
        result = cc.solve(ROOT / "cases" / f"{name}.toml")
        run = time.perf_counter() - begin
        taken = read_everything(result)
        slowest = max(taken, key=taken.__getitem__)
        begin = time.perf_counter()
        packed = pickle.dumps(result)
        same = pickle.loads(packed) == result
        sent = time.perf_counter() - begin
        row = f"{name:<22}{run:>9.2f}{slowest:>22}{1e3 * taken[slowest]:>9.4f}"
        row += f"{len(packed) / 1e6:>13.1f}{sent / run:>18.3f}"
        print(row if same else f"{row}   COMES BACK DIFFERENT")
    cases = [cc.read_case(ROOT / "cases" / "rod-100khz.toml")] * 10
    begin = time.perf_counter()
    for case in cases:
        cc.solve(case)
    alone = time.perf_counter() - begin
    begin = time.perf_counter()
    with ProcessPoolExecutor(2) as pool:
        found = list(pool.map(cc.solve, cases))
    pooled = time.perf_counter() - begin
    print(f"{len(found)} rods, whole results, two processes over one: {pooled / alone:.2f}")


if __name__ == "__main__":
    main()
