"""What goes to a worker and what comes back."""

from __future__ import annotations

import os
import pickle
import time
import traceback
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from typing import Generic, TypeVar

from threadpoolctl import threadpool_limits

from crosscurrent.geometries.errors import CrosscurrentError

T = TypeVar("T")
R = TypeVar("R")
THREADS = ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS")


class WorkerError(CrosscurrentError, RuntimeError):
    """Workers that cannot be had, or are no longer there; says what to do."""


@dataclass(frozen=True)
class Batch(Generic[T]):
    """Tasks that one worker takes at once.

    Parameters
    ----------
    tasks : tuple
    again : bool
        The only task was in a batch that killed its worker, and is tried alone for the last time.
    """

    tasks: tuple[T, ...]
    again: bool = False


@dataclass(frozen=True)
class Answer(Generic[R]):
    """What a worker made of a batch.

    Parameters
    ----------
    results : tuple
        In the order of the tasks, up to the one that failed.
    seconds : float
        Time it took [s].
    error : Exception or None
        What the next task raised.
    """

    results: tuple[R, ...]
    seconds: float
    error: Exception | None = None


def answered(function: Callable[[T], R], tasks: tuple[T, ...]) -> Answer[R]:
    """Work on a batch, in a worker: with one thread, since there is a worker for each processor.

    Examples
    --------
    >>> answered(abs, (-1, 2)).results
    (1, 2)
    """
    one_thread()
    begun = time.perf_counter()
    results: list[R] = []
    error = None
    try:
        for task in tasks:
            results.append(function(task))
    except Exception as raised:
        error = _sendable(raised)
    return Answer(tuple(results), time.perf_counter() - begun, error)


def _sendable(error: Exception) -> Exception:
    """The error with its trace as a note, since traces do not travel; its words alone where it does not either."""
    try:
        copy: Exception = pickle.loads(pickle.dumps(error))
    except Exception:
        copy = WorkerError(f"{type(error).__name__}: {error}")
    copy.add_note("".join(traceback.format_tb(error.__traceback__)))
    return copy


@cache
def one_thread() -> None:
    """Keep this process to one thread, in libraries that are loaded and in those that will be."""
    os.environ.update(dict.fromkeys(THREADS, "1"))
    threadpool_limits(1)
