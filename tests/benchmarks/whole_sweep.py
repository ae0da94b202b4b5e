"""Benchmark: the whole command on a sweep with all its pictures, over the same on one frequency of the same section.

Run from the checkout:  python tests/benchmarks/whole_sweep.py
Processor time of fresh processes with one thread, the shortest of some, each in turn.
"""

from __future__ import annotations

import re
import tempfile
from pathlib import Path

from against_earlier import COMMAND, HERE, processor_times

TIMES = 3
WANTED = {200: 3.0, 1000: 4.0}  # points of the sweep: times the command at one frequency, at most


def main() -> None:
    """Print the ratios."""
    cases = HERE / "cases"
    text = (cases / "feed-sweep.toml").read_text(encoding="utf-8")
    with tempfile.TemporaryDirectory() as folder:
        commands = {1: COMMAND.format(case=str(cases / "feed-facing.toml"))}
        for points in WANTED:
            case = Path(folder) / f"points-{points}.toml"
            case.write_text(re.sub(r"points = \d+", f"points = {points}", text), encoding="utf-8")
            commands[points] = COMMAND.format(case=str(case))
        rounds = [{points: processor_times(HERE, c)[0] for points, c in commands.items()} for _ in range(TIMES)]
    taken = {points: min(times[points] for times in rounds) for points in commands}
    print(f"one frequency: {taken[1]:.2f} s")
    for points, most in WANTED.items():
        ratio = taken[points] / taken[1]
        print(f"{points} points: {taken[points]:.2f} s, ratio {ratio:.2f} (wanted {most:g} at most)")


if __name__ == "__main__":
    main()
