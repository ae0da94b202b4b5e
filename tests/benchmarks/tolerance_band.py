"""Benchmark: 95 % limits of a tolerance band against 2048 field solves of a small section within its tolerances.

Run from the checkout:  python tests/benchmarks/tolerance_band.py
Wanted: each limit of R, L and loss within 3 % of the width of the band. The places are a scrambled Sobol fill.
"""

from __future__ import annotations

import sys
import time
from pathlib import Path

import numpy as np
from scipy.stats import qmc

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from crosscurrent.casefile.case import Case, checked_case
from crosscurrent.casefile.varied import varied
from crosscurrent.run import solve_case
from crosscurrent.solver.field.solve import solve
from crosscurrent.topics.tolerance_trials import causes_of

WANTED, DRAWS, FREQUENCY = 0.03, 2048, 2e3


def pair() -> Case:
    """Two bars that face each other, with tolerances of sizes, gap and metal."""
    bar = {"shape": "bar", "width": "20 mm", "thickness": "thick", "material": "own"}
    return checked_case({
        "frequency": {"at": [f"{FREQUENCY} Hz"]},
        "named": {"thick": "3 mm +- 0.2 mm", "near": "2 mm +- 0.4 mm"},
        "material": {"own": {"conductivity": "56 MS/m +- 4 %"}},
        "conductor": [bar | {"name": "go"}, bar | {"name": "back", "place": {"below": "go", "gap": "near"}}],
        "circuit": [{"name": "feed", "current": "100 A", "out": ["go"], "back": ["back"]}],
    })  # fmt: skip


def drawn(case: Case, seed: int) -> np.ndarray:
    """R, L and loss of every draw, (draws, 3), by field solves alone."""
    causes = causes_of(case)
    places = 2 * qmc.Sobol(len(causes), seed=seed).random(DRAWS) - 1
    found = np.empty((DRAWS, 3))
    for row, place in zip(found, places, strict=True):
        changed = varied(case, {c.key: c.value + u * c.tolerance for c, u in zip(causes, place, strict=True)})
        solution = solve(changed.problem(), FREQUENCY, accuracy=1e-3)
        feed = solution.problem.circuits[0]
        z = complex(solution.fine.circuit(feed)) / feed.current
        row[:] = z.real, z.imag / (2 * np.pi * FREQUENCY), solution.fine.powers.real.sum()
    return found


def main() -> None:
    """Print what the limits are off, as a share of the width of the band."""
    case = pair()
    (answer,) = [one for one in solve_case(case).chapters if one.key == "tolerance"]
    point = answer.record["points"][0]
    begun = time.process_time()
    low, high = np.quantile(drawn(case, 1), [0.025, 0.975], axis=0)
    feed = point["circuits"]["feed"]
    bands = feed["resistance_ohm_per_m"], feed["inductance_h_per_m"], point["total_loss_w_per_m"]
    spent = time.process_time() - begun
    print(f"order {answer.record['order']}, {answer.record['solves']} solves; {spent:.0f} s of draws")
    worst = 0.0
    for name, band, a, b in zip(("R", "L", "loss"), bands, low, high, strict=True):
        ends = band["within_95_percent_by_tolerances_alone"]
        off = [float(end - exact) / (b - a) for end, exact in zip(ends, (a, b), strict=True)]
        worst = max(worst, *map(abs, off))
        print(f"{name}: {a:.5g} to {b:.5g}; off by {100 * off[0]:+.2f} % and {100 * off[1]:+.2f} % of the width")
    print(f"worst {100 * worst:.2f} %, wanted {100 * WANTED:g} %")


if __name__ == "__main__":
    main()
