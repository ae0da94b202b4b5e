"""Many tasks on few workers: in this process, in processes of this machine, or on a cluster."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Generator, Iterable, Iterator, Sized
from itertools import islice
from types import TracebackType
from typing import Generic, Protocol, Self, TypeVar

from .batch import Answer, Batch, WorkerError
from .cluster import Cluster
from .processes import Processes

T = TypeVar("T")
R = TypeVar("R")
_GRAIN = 1.0  # what a batch should take: long against its way to a worker [s]
_MOST = 32  # tasks in a batch


class _Crew(Protocol[T, R]):
    """Workers that take one batch each."""

    def __enter__(self) -> Self: ...
    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None: ...
    def places(self) -> int: ...
    def send(self, batch: Batch[T], /) -> None: ...
    def heard(self) -> list[tuple[Batch[T], Answer[R] | None]]: ...


def completed(
    function: Callable[[T], R],
    tasks: Iterable[T],
    *,
    workers: int,
    on_death: Callable[[T], R],
    cluster: str | None = None,
    step: Callable[[str], None] | None = None,
    together: bool = True,
) -> Generator[tuple[T, R], None, None]:
    """Results of tasks as they come, in any order.

    Parameters
    ----------
    function : callable
        Works on one task. For other processes it stands in a module, and tasks and results pickle.
    tasks : iterable
        Possibly endless: read only as workers get free, a batch of about a second (at most 32 tasks) for each. An
        iterator that is at its end is read again after each result: results may make further tasks.
    workers : int
        Processes; 1 works in this one. Not used with a cluster, where each of its workers takes part.
    on_death : callable
        Gives the result of a task that killed its worker twice, the second time alone. Its neighbours are worked on
        again and lose nothing.
    cluster : str, optional
        Address of a running Dask scheduler.
    step : callable, optional
        Told in words what becomes of workers.
    together : bool
        Whether a batch may hold several tasks; not where few wait, since results make further ones.

    Yields
    ------
    (task, result)
        Closing the iterator (`contextlib.closing`), or any error, ends the processes at once.

    Raises
    ------
    WorkerError
        Workers that cannot be had, or are gone.
    MissingExtra
        A cluster is asked for, and `distributed` is not installed.
    Exception
        What the function raised: what was done before is yielded first.

    Examples
    --------
    >>> dict(completed(abs, [-1, -2], workers=1, on_death=lambda task: 0))
    {-1: 1, -2: 2}
    """
    if cluster is None and workers == 1:
        for task in tasks:
            yield task, function(task)
        return
    if workers < 1:
        raise WorkerError(f"expected at least one worker, found {workers}")
    most = min(workers, len(tasks)) if isinstance(tasks, Sized) else workers
    crew: _Crew[T, R] = Processes(function, most) if cluster is None else Cluster(function, cluster)
    with crew:
        yield from _worked(crew, _Queue(tasks, _MOST if together else 1), on_death, step or _nothing)


def _worked(
    crew: _Crew[T, R], queue: _Queue[T], on_death: Callable[[T], R], step: Callable[[str], None]
) -> Iterator[tuple[T, R]]:
    out = 0
    heard: list[tuple[Batch[T], Answer[R] | None]] = []
    while True:
        for batch, answer in heard:
            if answer:
                queue.learn(answer.seconds, len(answer.results))
            elif not batch.again:
                queue.try_again(batch)
                step(f"a worker was killed; {len(batch.tasks)} of its tasks are tried again one by one")
        out += _sent(crew, queue)  # first, so that nobody waits for what follows
        for batch, answer in heard:
            yield from _results(batch, answer, on_death)
        out += _sent(crew, queue)  # what the results made
        if not out and queue.is_empty():
            return
        heard = crew.heard()
        out -= len(heard)


def _sent(crew: _Crew[T, R], queue: _Queue[T]) -> int:
    """How many batches the free workers were given."""
    count = 0
    while crew.places() and (fresh := queue.next_batch()):
        crew.send(fresh)
        count += 1
    return count


def _results(batch: Batch[T], answer: Answer[R] | None, on_death: Callable[[T], R]) -> Iterator[tuple[T, R]]:
    if answer:
        yield from zip(batch.tasks, answer.results, strict=False)
        if answer.error:
            raise answer.error
    elif batch.again:
        yield from ((task, on_death(task)) for task in batch.tasks)


class _Queue(Generic[T]):
    """Tasks that wait: those to be tried again alone, then the rest, in batches of the wanted time."""

    def __init__(self, tasks: Iterable[T], most: int) -> None:
        self._tasks = iter(tasks)
        self._most = most
        self._read: tuple[T, ...] = ()
        self._again: deque[T] = deque()
        self._each: float | None = None  # recent time of a task [s]

    def next_batch(self) -> Batch[T] | None:
        if self._again:
            return Batch((self._again.popleft(),), again=True)
        tasks = self._read or tuple(islice(self._tasks, self._size()))
        self._read = ()
        return Batch(tasks) if tasks else None

    def is_empty(self) -> bool:
        if not self._again and not self._read:
            self._read = tuple(islice(self._tasks, self._size()))
        return not self._again and not self._read

    def try_again(self, batch: Batch[T]) -> None:
        self._again.extend(batch.tasks)

    def learn(self, seconds: float, count: int) -> None:
        """Note how long so many tasks took."""
        if count:
            each = seconds / count
            self._each = each if self._each is None else 0.5 * (self._each + each)

    def _size(self) -> int:
        return 1 if self._each is None else int(min(max(_GRAIN / max(self._each, 1e-9), 1), self._most))


def _nothing(words: str) -> None:
    pass
