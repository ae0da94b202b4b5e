"""Tasks on workers that fail, die and are interrupted, and the same results from all of them."""

from __future__ import annotations

import itertools
import math
import os
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import closing
from functools import partial
from multiprocessing import active_children
from pathlib import Path

import pytest
from study_tasks import awkward, digits, slow_for_seven, solved

from crosscurrent.studies.batch import THREADS, WorkerError
from crosscurrent.studies.design import Design
from crosscurrent.studies.store import Store
from crosscurrent.studies.workers import completed


def no_death(task: int) -> float:
    raise AssertionError(f"{task} killed nobody")


def given_up(task: int) -> float:
    return -1.0


def results(tasks: object, workers: int, **other: object) -> list[tuple[int, float]]:
    return sorted(completed(digits, tasks, workers=workers, on_death=no_death, **other))


def test_the_same_on_one_process_and_on_two() -> None:
    here = results(range(300), 1)
    assert here == [(k, digits(k)) for k in range(300)]
    assert results(range(300), 2) == here
    assert not active_children()


def test_solved_fields_are_the_same_to_the_last_digit() -> None:
    here = {k: solved(k) for k in range(3)}
    assert dict(completed(solved, range(3), workers=2, on_death=no_death)) == here


def test_no_tasks() -> None:
    assert results([], 2) == []
    assert results(iter([]), 2) == []


def test_workers_have_one_thread_each(monkeypatch: pytest.MonkeyPatch) -> None:
    for name in THREADS:
        monkeypatch.setenv(name, "2")
    threads = partial(awkward, "threads")
    assert {found for _, found in completed(threads, range(2), workers=2, on_death=no_death)} == {1.0}


def test_a_task_that_kills_is_given_up_after_two_and_its_neighbours_lose_nothing(tmp_path: Path) -> None:
    said: list[str] = []
    deadly = partial(awkward, "die", folder=tmp_path)
    found = list(completed(deadly, range(60), workers=2, on_death=given_up, step=said.append))
    assert sorted(found) == [(k, -1.0 if k in (7, 40) else digits(k)) for k in range(60)]
    assert {path.name: len(path.read_text()) for path in tmp_path.iterdir()} == {"7": 2, "40": 2}
    assert said
    assert all(words.startswith("a worker was killed; ") for words in said)


def test_what_a_task_raises_is_raised_after_what_was_done(tmp_path: Path) -> None:
    failing = partial(awkward, "raise")
    found = []
    with pytest.raises(ZeroDivisionError) as caught:
        found.extend(completed(failing, range(60), workers=2, on_death=no_death))
    assert any("awkward" in note for note in caught.value.__notes__)


def test_an_error_that_does_not_travel_comes_by_its_words() -> None:
    with pytest.raises(WorkerError, match="Untravelled: lost on the way"):
        list(completed(partial(awkward, "untravelled"), range(9), workers=2, on_death=no_death))


def test_a_result_that_does_not_travel_is_said() -> None:
    with pytest.raises(WorkerError, match="a result cannot be sent back"):
        list(completed(partial(awkward, "lambda"), range(9), workers=2, on_death=no_death))


def test_a_function_that_does_not_travel_is_said() -> None:
    with pytest.raises(WorkerError, match=r"cannot be sent to other processes .* define it in a module file"):
        list(completed(lambda task: task, range(9), workers=2, on_death=no_death))


def test_a_script_without_its_guard_is_told_so(tmp_path: Path) -> None:
    script = tmp_path / "script.py"
    script.write_text(
        "from crosscurrent.studies.workers import completed\n"
        "print(list(completed(abs, [1], workers=2, on_death=abs)))\n"
    )
    done = subprocess.run([sys.executable, str(script)], capture_output=True, encoding="utf-8", timeout=60, env=paths())
    assert "WorkerError: the worker processes do not start; " in done.stderr.splitlines()[-1]


def paths() -> dict[str, str]:
    return {**os.environ, "PYTHONPATH": os.pathsep.join(filter(None, sys.path))}


def test_endless_tasks_are_read_as_workers_get_free() -> None:
    read = itertools.count()
    with closing(completed(digits, read, workers=2, on_death=no_death)) as found:
        for count, _ in enumerate(found, 1):
            if count == 200:
                break
    assert next(read) <= 200 + 5 * 32
    assert not active_children()


def test_tasks_may_follow_from_results() -> None:
    found: list[int] = []

    def tasks() -> Iterator[int]:
        yield 1
        while len(found) < 3:
            yield len(found) + 10

    for workers in (1, 2):
        found.clear()
        for task, _ in completed(digits, tasks(), workers=workers, on_death=no_death):
            found.append(task)
        assert 1 in found
        assert len(found) >= 3


def test_interrupt_ends_the_workers_at_once() -> None:
    def interrupting() -> Iterator[int]:
        yield from range(7)
        signal.raise_signal(signal.SIGINT)
        yield 7

    begun, slow = time.monotonic(), partial(slow_for_seven, seconds=60.0)
    with pytest.raises(KeyboardInterrupt):
        list(completed(slow, itertools.chain([7], interrupting()), workers=2, on_death=no_death))
    assert time.monotonic() - begun < 30.0
    assert not active_children()


STUDY = """
import multiprocessing, sys
from contextlib import closing
from pathlib import Path
from study_tasks import digits, slow_for_seven
from crosscurrent.studies.design import Design
from crosscurrent.studies.store import Store
from crosscurrent.studies.workers import completed

def study():
    found = completed(slow_for_seven, [7, *range(7)], workers=2, on_death=None)
    with Store(Path(sys.argv[1])) as store, closing(found):
        for k, figure in found:
            store.put(Design(str(k), {"k": k}, {"figure_w": figure}, {}, {}, {}, "pass"))
            print(len(store), *[child.pid for child in multiprocessing.active_children()], flush=True)

if __name__ == "__main__":
    print(0, flush=True)
    try:
        study()
    except KeyboardInterrupt:
        print("interrupted", len(multiprocessing.active_children()))
"""


def stopped_study(folder: Path, count: int, number: int) -> tuple[list[str], list[str], str]:
    """Run a study until it has put so many, send it and its workers a signal; its last words and its workers."""
    script = folder / "study.py"
    script.write_text(STUDY)
    call = [sys.executable, str(script), str(folder / "designs.sqlite")]
    pipes = {"stdout": subprocess.PIPE, "stderr": subprocess.PIPE, "encoding": "utf-8"}
    with subprocess.Popen(call, env=paths(), start_new_session=True, **pipes) as study:
        line: list[str] = []
        while not line or int(line[0]) < count:
            line = study.stdout.readline().split()
        if number == signal.SIGKILL:
            os.kill(study.pid, number)
        else:
            time.sleep(0.2)  # the workers are starting
            os.killpg(study.pid, number)
        said, error = study.communicate(timeout=60)
    return line[1:], said.splitlines(), error


def gone_on_with(folder: Path) -> int:
    """Do what is left of the study; how many designs it had put."""
    with Store(folder / "designs.sqlite") as store:
        kept = {design.key for design in store}
        left = [k for k in range(8) if str(k) not in kept]
        for k, figure in completed(digits, left, workers=1, on_death=no_death):
            store.put(Design(str(k), {"k": k}, {"figure_w": figure}, {}, {}, {}, "pass"))
        assert {design.key: design.figures["figure_w"] for design in store} == {str(k): digits(k) for k in range(8)}
    return len(kept)


@pytest.mark.skipif(sys.platform == "win32", reason="no such signal")
def test_killed_study_is_gone_on_with_and_leaves_no_workers(tmp_path: Path) -> None:
    workers, _, _ = stopped_study(tmp_path, 5, signal.SIGKILL)
    assert len(workers) == 2
    assert gone_on_with(tmp_path) >= 5
    deadline = time.monotonic() + 10.0
    while any(map(alive, workers)) and time.monotonic() < deadline:
        time.sleep(0.05)
    assert not any(map(alive, workers))


@pytest.mark.skipif(sys.platform == "win32", reason="no such signal")
@pytest.mark.parametrize("count", [0, 5])
def test_interrupted_study_is_gone_on_with_and_only_it_speaks(tmp_path: Path, count: int) -> None:
    _, said, error = stopped_study(tmp_path, count, signal.SIGINT)
    assert said[-1] == "interrupted 0"
    assert error == ""
    assert gone_on_with(tmp_path) >= count


def alive(pid: str) -> bool:
    status = Path(f"/proc/{pid}/stat")
    return status.exists() and status.read_text().rpartition(")")[2].split()[0] != "Z"


@pytest.mark.skipif(sys.platform == "win32", reason="no such measure")
def test_memory_does_not_grow_with_the_number_of_designs(tmp_path: Path) -> None:
    """20,000 designs through workers and store: nothing is kept of each."""
    import resource

    marks = []
    with Store(tmp_path / "designs.sqlite") as store:
        for count, (k, figure) in enumerate(completed(math.sqrt, range(20_000), workers=2, on_death=no_death), 1):
            store.put(Design(str(k), {"k": k}, {"figure_w": figure}, {}, {}, {}, "pass"))
            if count in (5_000, 20_000):
                marks.append(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss)
        assert sum(1 for _ in store) == len(store) == 20_000
    assert marks[1] - marks[0] < 2_000  # kB; 15,000 designs kept would take some 30,000
