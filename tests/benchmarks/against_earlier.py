"""Benchmarks: the whole command and the solve of the facing pair, here and in an earlier checkout, in turn.

    git clone . /tmp/earlier && git -C /tmp/earlier checkout 31009a5
    python tests/benchmarks/against_earlier.py /tmp/earlier

Both run with this Python and one thread. Processor time counts, not the clock, and the shortest of several: other
work on the machine then matters little.
"""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

HERE = Path(__file__).resolve().parents[2]
TIMES = 5
WANTED = 0.75

COMMAND = """
import tempfile, time
from crosscurrent.__main__ import main
with tempfile.TemporaryDirectory() as folder:
    assert main(["run", {case!r}, "--out", folder + "/feed"]) == 0
print(time.process_time())
"""
SOLVE = """
import time
from crosscurrent import read_case
try:
    from crosscurrent.solver.field.solve import solve
except ImportError:  # where it stood in the first house
    from crosscurrent.solver.solve import solve
taken = []
for _ in range(4):
    problem = read_case({case!r}).problem()
    begin = time.process_time()
    solve(problem, {frequency})
    taken.append(time.process_time() - begin)
print(taken[0], min(taken[1:]))
"""


def processor_times(checkout: Path, script: str) -> list[float]:
    """What a script prints in its last line, run with the code of a checkout [s]."""
    threads = dict.fromkeys(("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS"), "1")
    # compiled modules are kept, as they are where it is installed
    environment = {**os.environ, **threads, "PYTHONPATH": str(checkout), "PYTHONDONTWRITEBYTECODE": ""}
    # from the checkout: an import finds the code there first
    ran = subprocess.run(
        [sys.executable, "-c", script], env=environment, cwd=checkout, check=True, stdout=subprocess.PIPE, text=True
    )
    return [float(word) for word in ran.stdout.splitlines()[-1].split()]


def in_turn(earlier: Path, script: str) -> list[tuple[float, float]]:
    """Shortest times (here, earlier) of whatever a script measures, after a first run each [s]."""
    processor_times(HERE, script), processor_times(earlier, script)
    both = [(processor_times(HERE, script), processor_times(earlier, script)) for _ in range(TIMES)]
    return list(zip(*(map(min, zip(*side, strict=True)) for side in zip(*both, strict=True)), strict=True))


def main(earlier: Path) -> None:
    """Print the table."""
    print(f"{'processor time':<44}{'here':>10}{'earlier':>10}   ratio, wanted {WANTED} at most")
    case = str(HERE / "cases" / "feed-facing.toml")
    rows = [("whole command, one frequency", in_turn(earlier, COMMAND.format(case=case))[0])]
    for frequency in (85e3, 8e6):
        script = SOLVE.format(case=case, frequency=frequency)
        names = [f"solve, {frequency:g} Hz, {when}" for when in ("first in its process", "again")]
        rows += zip(names, in_turn(earlier, script), strict=True)
    for name, (here, there) in rows:
        print(f"{name:<44}{here:>8.3f} s{there:>8.3f} s   {here / there:.2f}")


if __name__ == "__main__":
    main(Path(sys.argv[1]).resolve())
