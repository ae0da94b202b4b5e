"""A hundred runs on the bench with hidden causes: how often they are named, and how well their amounts are found.

`OMP_NUM_THREADS=1 python tests/benchmarks/benches.py [COUNT] [SEED]` from the checkout; ten minutes. Wanted: named
rightly in at least 70 of 100, rightly or "cannot tell" in at least 95, wrong with confidence in at most 3; amounts
within twice their uncertainty in 95 %.

Amounts are drawn from what workshops meet until every hidden cause is visible: by itself it moves the reading by at
least 5 standard uncertainties in all (the root of its chi-square). Only one piece of metal lies nearby.
"""

from __future__ import annotations

import sys
import time
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parent.parent))

from meter_benches import SETS, drawn, known, outcome, within

from crosscurrent.solver.meter.diagnose import diagnose


def main(count: int, seed: int) -> None:
    """Print a row a bench, and the counts."""
    tally: dict[tuple[str, str], int] = {}
    amounts: list[bool] = []
    for number in range(count):
        rng = np.random.default_rng([seed, number])
        bench = drawn(number % len(SETS), rng)
        begun = time.process_time()
        found = diagnose(bench.reading, known(bench.number)[2])
        spent = time.process_time() - begun
        result = outcome(bench, found)
        meter = SETS[bench.number][1].name
        tally[meter, result] = tally.get((meter, result), 0) + 1
        amounts += within(bench, found)
        hidden = ", ".join(f"{k} {v:.4g}" for k, v in bench.hidden.items()) or "none"
        told = " | ".join(" + ".join(sorted(e.keys)) or "none" for e in found.explanations[:4])
        print(f"{number:3d} {SETS[bench.number][0]:9s}{meter:10s}{result:12s}{hidden:60s} {found.verdict}: {told}  "
              f"{spent:.1f} s", flush=True)  # fmt: skip
    print({f"{meter} {result}": n for (meter, result), n in sorted(tally.items())})
    print(f"amounts within twice their uncertainty: {sum(amounts)} of {len(amounts)}")


if __name__ == "__main__":
    main(*(int(word) for word in (sys.argv[1:] + ["100", "18"][len(sys.argv[1:]) :])[:2]))
