"""Benchmark: a study of solved designs on one process and on two, and 100,000 designs with a stand-in solve.

Run from the checkout:  python tests/benchmarks/study_workers.py [DESIGNS]
Wanted of 1000 designs: two processes at least 1.8 times as fast as one, and under 5 % of processor time beside the
solves (starting the processes included). The ratio of times needs two idle cores; the share of processor time does not.
"""

from __future__ import annotations

import os
import sys
import tempfile
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

import crosscurrent as cc
from crosscurrent.studies.design import Design
from crosscurrent.studies.pace import Pace
from crosscurrent.studies.store import Store
from crosscurrent.studies.table import write_tables
from crosscurrent.studies.workers import completed


def feed(number: int) -> Design:
    """The pier's feed at one of many gaps; its time is that of the processor."""
    begun = time.process_time()
    gap = 1.0 + 1e-3 * number
    bars = [
        cc.bar(name, material="copper", width="100 mm", thickness="6 mm", centre=("0 mm", f"{y} mm"))
        for name, y in (("outgoing", 3.0 + gap / 2.0), ("return", -3.0 - gap / 2.0))
    ]
    circuit = cc.circuit("feed", "900 A", out=["outgoing"], back=["return"])
    found = cc.solve(cc.case("Feed", bars, [circuit], at=["85 kHz"]))["feed"]
    figures = {"resistance_ohm_per_m": found.resistance, "inductance_h_per_m": found.inductance}
    seconds = time.process_time() - begun
    return Design(str(number), {"gap": 1e-3 * gap}, figures, {}, {}, {}, "none stated", seconds=seconds)


def stand_in(number: int) -> Design:
    """A design that takes no time."""
    return Design(str(number), {"gap": 1e-6 * number}, {"loss_w_per_m": 1.0 / (1 + number)}, {}, {}, {}, "pass")


def no_death(number: int) -> Design:
    """Nobody is killed here."""
    raise AssertionError(number)


def processor_time() -> float:
    """Of this process and of those that have ended [s]."""
    spent = os.times()
    return spent.user + spent.system + spent.children_user + spent.children_system


def solved(count: int, workers: int) -> tuple[float, float]:
    """Solve and store designs; tell the shares, and give the time on the clock and of the processors."""
    with tempfile.TemporaryDirectory() as folder, Store(Path(folder) / "designs.sqlite") as store:
        pace = Pace(count)
        begun, spent = time.perf_counter(), processor_time()
        for _, design in completed(feed, range(count), workers=workers, on_death=no_death):
            store.put(design)
            pace.count()
            print(f"\r{workers} at work: {pace.words():<60}", end="", file=sys.stderr, flush=True)
        taken, spent = time.perf_counter() - begun, processor_time() - spent
        inside = sum(design.seconds for design in store)
    print(file=sys.stderr)
    each, beside = inside / count, spent / inside - 1.0
    print(f"{count} designs on {workers}: {taken:.1f} s, {each:.3f} s of processor each and {beside:.1%} beside")
    return taken, spent


def stood_in(count: int) -> None:
    """Put many designs through workers, store and tables; tell what memory and time they take."""
    import resource

    with tempfile.TemporaryDirectory() as folder, Store(Path(folder) / "designs.sqlite") as store:
        begun = time.perf_counter()
        for at, (_, design) in enumerate(completed(stand_in, range(count), workers=2, on_death=no_death), 1):
            store.put(design)
            if at == count // 10:
                early = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
        taken = time.perf_counter() - begun
        write_tables(Path(folder), store, {"gap": "m"})
        more = (resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - early) / 1024.0
    print(f"{count} designs with a stand-in: {1e6 * taken / count:.0f} us each; from a tenth to all {more:.1f} MB more")


if __name__ == "__main__":
    wanted = int(sys.argv[1]) if len(sys.argv) > 1 else 1000
    stood_in(100 * wanted)
    (one, one_spent), (two, two_spent) = solved(wanted, 1), solved(wanted, 2)
    print(f"two processes are {one / two:.2f} times as fast as one (wanted 1.8 at least)")
    print(f"they had {two_spent / two:.2f} of two cores, and one had {one_spent / one:.2f} of one")
    print(f"by processor time, on two cores with nothing else to do: {2.0 * one_spent / two_spent:.2f}")
