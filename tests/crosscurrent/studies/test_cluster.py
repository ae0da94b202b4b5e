"""A Dask scheduler and two workers over TCP: the same results, and clear words where something is missing."""

from __future__ import annotations

import math
import sys
from contextlib import closing
from functools import partial
from importlib.util import find_spec
from pathlib import Path

import pytest
from dask_parts import Started
from study_tasks import awkward, digits, solved

from crosscurrent.extras import MissingExtra
from crosscurrent.studies import cluster
from crosscurrent.studies.batch import WorkerError
from crosscurrent.studies.workers import completed

WITH_DISTRIBUTED = pytest.mark.skipif(not find_spec("distributed"), reason="distributed is not installed")


def no_death(task: int) -> float:
    raise AssertionError(f"{task} killed nobody")


@WITH_DISTRIBUTED
def test_the_same_to_the_last_digit_as_here_and_errors_too() -> None:
    with Started(2) as parts:
        found = completed(digits, range(300), workers=1, on_death=no_death, cluster=parts.address)
        assert sorted(found) == [(k, digits(k)) for k in range(300)]
        fields = completed(solved, range(3), workers=1, on_death=no_death, cluster=parts.address)
        assert dict(fields) == {k: solved(k) for k in range(3)}
        failing = partial(awkward, "raise")
        with pytest.raises(ZeroDivisionError):
            list(completed(failing, range(30), workers=1, on_death=no_death, cluster=parts.address))


@WITH_DISTRIBUTED
def test_a_task_that_kills_is_given_up_after_two_and_its_neighbours_lose_nothing(tmp_path: Path) -> None:
    deadly = partial(awkward, "die", folder=tmp_path)
    with Started(3) as parts:
        found = sorted(completed(deadly, range(30), workers=1, on_death=lambda task: -1.0, cluster=parts.address))
    assert found == [(k, -1.0 if k == 7 else digits(k)) for k in range(30)]
    assert [(path.name, len(path.read_text())) for path in tmp_path.iterdir()] == [("7", 2)]


@WITH_DISTRIBUTED
def test_workers_that_are_all_gone_are_said(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(cluster, "PATIENCE", 1.0)
    deadly = partial(awkward, "die", folder=tmp_path)
    with Started(1) as parts, pytest.raises(WorkerError, match=r"has had no worker for 1 s; start it and its workers"):
        list(completed(deadly, range(9), workers=1, on_death=math.sqrt, cluster=parts.address))


@WITH_DISTRIBUTED
def test_a_scheduler_that_is_gone_is_said() -> None:
    slow = partial(awkward, "slow")
    with (
        Started(1) as parts,
        closing(completed(slow, range(10**6), workers=1, on_death=no_death, cluster=parts.address)) as found,
    ):
        next(found)
        parts.processes[0].kill()
        with pytest.raises(WorkerError, match=r"the scheduler .*; start it and its workers"):
            list(found)


@WITH_DISTRIBUTED
@pytest.mark.parametrize("address", ["tcp://127.0.0.1:1", "nonsense://x", "tcp://no-such-host.invalid:8786"])
def test_an_address_where_nobody_answers_is_said(address: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(cluster, "_CONNECT", 0.3)
    with pytest.raises(WorkerError, match=r"no scheduler answers .*; start one with `dask scheduler`"):
        list(completed(digits, range(3), workers=1, on_death=no_death, cluster=address))


def test_what_to_install_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "distributed", None)
    with pytest.raises(MissingExtra, match=r'pip install "crosscurrent\[cluster\]"'):
        list(completed(digits, range(3), workers=1, on_death=no_death, cluster="tcp://127.0.0.1:1"))
