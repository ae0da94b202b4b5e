"""A hundred runs on the bench with hidden causes: how often they are named, and how well their amounts are found.

`OMP_NUM_THREADS=1 python tests/benchmarks/benches.py [COUNT] [SEED]` from the checkout; ten minutes. Wanted: named
rightly in at least 70 of 100, rightly or "cannot tell" in at least 95, wrong with confidence in at most 3; amounts
within twice their uncertainty in 95 %.

Every other six leave the noise of the meter unstated: it is told from the rows. Amounts are drawn from what workshops
meet until every hidden cause is visible: by itself it moves the reading by at
least 5 standard uncertainties in all (the root of its chi-square). Only one piece of metal lies nearby.
"""

from __future__ import annotations

import sys
import time
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parent.parent))

from meter_benches import SETS, amounts, drawn, known, outcome, with_noise_untold

from crosscurrent.solver.meter.diagnose import diagnose

WANTED = {"named rightly": 70, "rightly or cannot tell": 95, "wrong": 3, "amounts": 95}  # of a hundred


def main(count: int, seed: int) -> None:
    """Print a row a bench, and the counts beside what is wanted."""
    results: list[str] = []
    off: list[float] = []
    for number in range(count):
        bench = drawn(number % len(SETS), np.random.default_rng([seed, number]))
        if number // len(SETS) % 2:
            bench = with_noise_untold(bench)
        begun = time.process_time()
        found = diagnose(bench.reading, known(bench.number)[2])
        spent = time.process_time() - begun
        results.append(outcome(bench, found))
        own = amounts(bench, found)
        off += own.values()
        section, meter, _ = SETS[bench.number]
        hidden = ", ".join(f"{k} {v:.4g}" for k, v in bench.hidden.items()) or "none"
        told = " | ".join(" + ".join(sorted(e.keys)) or "none" for e in found.explanations[:4])
        by = ", ".join(f"{k} {v:+.1f} u" for k, v in own.items())
        print(f"{number:3d} {section:9s}{meter.name:10s}{results[-1]:12s}{hidden:50s} {found.verdict}: {told}"
              f"{f'; off by {by}' if by else ''}  {spent:.1f} s", flush=True)  # fmt: skip
    share = {name: 100 * sum(r in some for r in results) / count for name, some in (
        ("named rightly", ("right",)), ("rightly or cannot tell", ("right", "cannot tell")), ("wrong", ("wrong",))
    )}  # fmt: skip
    share["amounts"] = 100 * float(np.mean(np.abs(off) <= 2))
    for name, wanted in WANTED.items():
        met = share[name] <= wanted if name == "wrong" else share[name] >= wanted
        print(f"{name:24s}{share[name]:6.1f} of 100, wanted {'at most' if name == 'wrong' else 'at least'} {wanted}: "
              f"{'met' if met else 'missed'}")  # fmt: skip
    print(f"{len(off)} amounts, rms {np.sqrt(np.mean(np.square(off))):.2f} of their uncertainties")


if __name__ == "__main__":
    main(*(int(word) for word in (sys.argv[1:] + ["100", "18"][len(sys.argv[1:]) :])[:2]))
