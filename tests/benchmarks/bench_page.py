"""Benchmark: how soon a dragged bar of the feed shows its current, and what a move costs.

Run from the checkout, on a quiet machine, with the extras "bench" and "test" and a chromium:
    OMP_NUM_THREADS=1 python tests/benchmarks/bench_page.py
"""

from __future__ import annotations

import shutil
import sys
import tempfile
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))
sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

import numpy as np
from open_page import open_page
from playwright.sync_api import sync_playwright

from crosscurrent.page.worker import Job, Tier, work
from crosscurrent.solver.elements.factor import one_thread

HERE = Path(__file__).resolve().parents[2]
CASE = HERE / "cases" / "feed-facing.toml"
MOVES, PAUSE = 120, 0.05  # of the hand, and between two of them [s]
WANTED = {"processor time of a move": 0.1, "median": 0.2, "95 %": 0.3, "painting": 0.016, "cancel": 0.2}  # [s]
QUIET = ["--no-sandbox", "--disable-gpu", "--disable-background-networking", "--disable-component-update"]
WATCH = """() => {
  const { page, drawing } = bench, sent = new Map();
  bench.lags = []; bench.paints = [];
  let last = 0;
  const ask = drawing.ask, taken = drawing.moveTaken.bind(drawing), seen = drawing.seen.bind(drawing);
  drawing.ask = (words) => { if (words.do === "move") last = performance.now(); ask(words); };
  drawing.moveTaken = (lines) => { sent.set(page.state.revision, last); taken(lines); };
  drawing.seen = (...what) => { seen(...what); const revision = page.answer.revision, kind = page.answer.kind;
    requestAnimationFrame(() => requestAnimationFrame(() => {
      bench.paints.push(drawing.paintTime);
      if (kind === "following" && sent.has(revision)) bench.lags.push(performance.now() - sent.get(revision));
    })); };
}"""


def processor_time(tier: Tier) -> float:
    """Of a job on one thread, as a worker does it, the shortest of five [s]."""
    text, taken = CASE.read_text(encoding="utf-8"), []
    for _ in range(5):
        begin = time.process_time()
        with one_thread():
            work(Job(tier, 1, text, CASE))
        taken.append(time.process_time() - begin)
    return min(taken)


def dragged() -> tuple[list[float], list[float], float]:
    """From every move that was answered to its field on the screen; painting; a cancel [s]."""
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as driver:
        (Path(folder) / CASE.name).write_text(CASE.read_text(encoding="utf-8"), encoding="utf-8")
        with open_page(Path(folder), CASE.name) as served:
            browser = driver.chromium.launch(executable_path=shutil.which("chromium"), args=QUIET)
            page = browser.new_page(viewport={"width": 1280, "height": 900})
            page.goto(served.address)
            page.wait_for_selector("#standing.settled", timeout=60_000)
            page.evaluate(WATCH)
            box = page.locator("#draw g[data-name=outgoing] path").bounding_box()
            assert box is not None
            x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
            page.mouse.move(x, y)
            page.mouse.down()
            for k in range(MOVES):
                page.mouse.move(x + 40 * np.sin(k / 9), y - 40 + 30 * np.cos(k / 13))
                time.sleep(PAUSE)
            page.mouse.up()
            page.wait_for_selector("#standing.settled", timeout=60_000)
            lags, paints = page.evaluate("bench.lags"), page.evaluate("bench.paints")
            page.click("#run")
            time.sleep(1.0)
            begin = time.perf_counter()
            page.click("#cancel")
            page.locator("#ran", has_text="Run cancelled").wait_for()
            cancel = time.perf_counter() - begin
            browser.close()
    return [lag / 1e3 for lag in lags], [paint / 1e3 for paint in paints], cancel


def main() -> None:
    """Print the table."""
    move, settled = processor_time("following"), processor_time("settled")
    lags, paints, cancel = dragged()
    found = {
        "processor time of a move": move, "median": float(np.median(lags)), "95 %": float(np.quantile(lags, 0.95)),
        "painting": float(np.quantile(paints, 0.95)), "cancel": cancel,
    }  # fmt: skip
    print(f"{len(lags)} moves answered of {MOVES}; a move is {move / settled:.2f} of one settled solve")
    for name, value in found.items():
        print(f"{name}: {1e3 * value:.0f} ms (wanted {1e3 * WANTED[name]:g} at most)")


if __name__ == "__main__":
    main()
