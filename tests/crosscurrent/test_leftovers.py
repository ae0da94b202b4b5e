"""What killed runs leave beside a place: cleared up on TERM, and at the next run after KILL; earlier results stay."""

from __future__ import annotations

import multiprocessing
import os
import random
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from crosscurrent import leftovers
from crosscurrent.__main__ import ENDED, main
from crosscurrent.folders import whole_folder
from crosscurrent.leftovers import NEW, OLD, clear_leftovers, working_folder

FORK = multiprocessing.get_context("fork")  # a process that need not load everything again
ONE_ROD = """
frequency = { at = ["0 Hz"] }
conductor = [{ name = "rod", shape = "round", diameter = "8 mm", material = "copper" }]
circuit = [{ name = "feed", current = "10 A", out = ["rod"] }]
"""


def solve(case: str, ready: object) -> None:
    with open(os.devnull, "w", encoding="utf-8") as nothing:
        os.dup2(nothing.fileno(), 1)
        os.dup2(nothing.fileno(), 2)
    ready.set()  # type: ignore[attr-defined]
    os._exit(main(["run", case]))


def ended(case: Path, number: int, after: float) -> int | None:
    ready = FORK.Event()
    process = FORK.Process(target=solve, args=(str(case), ready))
    process.start()
    assert ready.wait(30)
    time.sleep(after)
    assert process.pid is not None
    os.kill(process.pid, number)
    process.join(60)
    return process.exitcode


def files(folder: Path) -> dict[str, bytes]:
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


@pytest.mark.usefixtures("no_pictures")
def test_ended_at_random_times_a_run_leaves_the_earlier_results_and_nothing_else(tmp_path: Path) -> None:
    case = tmp_path / "rod.toml"
    case.write_text(ONE_ROD, encoding="utf-8")
    assert main(["run", str(case)]) == 0
    began = time.perf_counter()
    assert main(["run", str(case)]) == 0
    lasts = time.perf_counter() - began
    earlier, codes = files(tmp_path / "rod"), set()
    chance = random.Random(13)
    for k in range(20):
        term = k % 2 == 0
        code = ended(case, signal.SIGTERM if term else signal.SIGKILL, chance.uniform(0, lasts))
        codes.add(code)
        assert code in ((0, ENDED) if term else (0, -signal.SIGKILL))
        clear_leftovers(tmp_path / "rod")  # after KILL in the blink between two moves they are put back here
        assert files(tmp_path / "rod") == earlier
        assert sorted(path.name for path in tmp_path.iterdir()) == ["rod", "rod.toml"]
    assert codes >= {ENDED, -signal.SIGKILL}


@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGKILL])
def test_ended_while_it_writes(tmp_path: Path, number: int) -> None:
    code = (
        "import sys, time; from pathlib import Path; from crosscurrent import __main__, folders\n"
        "def slow(_):\n"
        "    with folders.whole_folder(Path(sys.argv[1])) as fresh:\n"
        "        (fresh / 'table.csv').write_text('half'); print(fresh, flush=True); time.sleep(60)\n"
        "__main__._answered = slow\n"
        "sys.exit(__main__.main([]))"
    )
    place = tmp_path / "out"
    process = subprocess.Popen([sys.executable, "-c", code, str(place)], stdout=subprocess.PIPE, stderr=subprocess.PIPE)
    assert process.stdout is not None
    fresh = Path(process.stdout.readline().decode().strip())
    assert fresh.is_dir()
    clear_leftovers(place)
    assert fresh.is_dir()  # its process is running
    process.send_signal(number)
    _, err = process.communicate(timeout=30)
    if number == signal.SIGTERM:
        assert (process.returncode, err) == (143, b"Ended from outside; nothing half-made is left.\n")
        assert list(tmp_path.iterdir()) == []
        return
    assert fresh.is_dir()
    with whole_folder(place) as other:
        (other / "results.json").write_text("{}", encoding="utf-8")
    assert [path.name for path in tmp_path.iterdir()] == ["out"]


def half_made(place: Path, *names: str) -> Path:
    hidden = place.parent / f".{place.name}-crosscurrent-abcd1234"
    for name in names:
        (hidden / name).mkdir(parents=True)
        (hidden / name / "results.json").write_text(name, encoding="utf-8")
    return hidden


def test_earlier_results_moved_aside_go_back(tmp_path: Path) -> None:
    hidden = half_made(tmp_path / "out", OLD, NEW)
    clear_leftovers(tmp_path / "out")
    assert files(tmp_path) == {"out/results.json": b"old"}
    assert not hidden.exists()


def test_earlier_results_are_kept_where_something_else_took_their_place(tmp_path: Path) -> None:
    hidden = half_made(tmp_path / "out", OLD, NEW)
    (tmp_path / "out").mkdir()
    clear_leftovers(tmp_path / "out")
    assert (hidden / OLD / "results.json").read_text(encoding="utf-8") == "old"


def test_what_is_not_ours_stays(tmp_path: Path) -> None:
    half_made(tmp_path / "out", "letters")
    half_made(tmp_path / "other", NEW)
    (tmp_path / ".out-settings").mkdir()
    before = sorted(tmp_path.rglob("*"))
    clear_leftovers(tmp_path / "out")
    assert sorted(tmp_path.rglob("*")) == before


def test_names_with_signs_of_a_pattern(tmp_path: Path) -> None:
    mine, other = half_made(tmp_path / "a[1]*", NEW), half_made(tmp_path / "a1b", NEW)
    clear_leftovers(tmp_path / "a[1]*")
    assert (mine.exists(), other.exists()) == (False, True)


def test_without_locks_nothing_is_cleared_up(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    hidden = half_made(tmp_path / "out", NEW)

    def none(*_: int) -> None:
        raise OSError(38, "no locks on this kind of disk")

    monkeypatch.setattr(leftovers.fcntl, "flock", none)
    clear_leftovers(tmp_path / "out")
    with working_folder(tmp_path / "out") as own:
        assert (own / NEW).is_dir()
    assert hidden.exists()
    assert not own.exists()


def test_an_end_that_a_library_takes_for_its_own_fault_is_an_end(monkeypatch: pytest.MonkeyPatch) -> None:
    def compared(_: object) -> int:
        try:
            os.kill(os.getpid(), signal.SIGTERM)
            time.sleep(1.0)
        except BaseException:
            raise TypeError("cannot compare") from None
        return 0

    monkeypatch.setattr("crosscurrent.__main__._answered", compared)
    assert main(["run", "rod.toml"]) == ENDED
