"""Tasks for workers, in a module that they can import."""

from __future__ import annotations

import math
import os
import time
from pathlib import Path

from threadpoolctl import threadpool_info


class Untravelled(Exception):
    def __init__(self, words: str, further: str) -> None:
        super().__init__(words)


def digits(task: int) -> float:
    """A number that uses every digit."""
    return math.sin(1.0 + task) * math.exp(0.1 * (task % 50))


def solved(task: int) -> complex:
    """Impedance of two facing bars [ohm/m] by the field solve, with all its digits."""
    from common import bar, pair

    from crosscurrent.solver.field.solve import solve

    one, other = bar("out", 0.02, 0.003, y=0.002 + 1e-4 * task), bar("back", 0.02, 0.003, y=-0.002)
    problem = pair(one, other)
    return solve(problem, 5e3).fine.circuit(problem.circuits[0])


def slow_for_seven(task: int, seconds: float = 1.5) -> float:
    """As `digits`, and 7 takes its time."""
    if task == 7:
        time.sleep(seconds)
    return digits(task)


def awkward(way: str, task: int, folder: Path | None = None) -> object:
    """As `digits`, except for 7 and 40."""
    if way == "threads":
        import numpy as np

        np.linalg.inv(np.eye(3))
        return float(max(pool["num_threads"] for pool in threadpool_info()))
    if way == "slow":
        time.sleep(0.1)
    if task in (7, 40):
        if way == "die" and folder is not None:
            with (folder / str(task)).open("a") as stream:
                stream.write("x")
            os._exit(1)
        if way == "raise":
            return 1.0 / (task - task)
        if way == "untravelled":
            raise Untravelled("lost on the way", "further")
        return lambda: task
    return digits(task)
