"""Workers on this machine: processes, each at the end of a pipe of its own.

A pipe for each tells exactly which batch killed a worker, lets a killed worker touch no other, and ends the workers
when the study is killed: they find their pipe closed.
"""

from __future__ import annotations

import multiprocessing
import pickle
import signal
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from multiprocessing import resource_tracker
from multiprocessing.connection import Connection, wait
from types import TracebackType
from typing import Generic, Self, TypeVar

from .batch import Answer, Batch, WorkerError, answered, one_thread

T = TypeVar("T")
R = TypeVar("R")
_READY = "ready"
_SPAWN = multiprocessing.get_context("spawn")


class _Worker(Generic[T, R]):
    """One process, and the batch it has; `started` once it has been heard."""

    def __init__(self, function: Callable[[T], R]) -> None:
        self.pipe, inside = _SPAWN.Pipe()
        self.process = _SPAWN.Process(target=_work, args=(inside, function), daemon=True)
        self.started = False
        self.batch: Batch[T] | None = None
        try:
            with _deaf():
                self.process.start()
        finally:
            inside.close()  # else its end would not be noticed

    def end(self) -> None:
        self.process.kill()
        self.process.join()
        self.pipe.close()


class Processes(Generic[T, R]):
    """A crew of processes; they end with the `with`, at once.

    Parameters
    ----------
    function : callable
        Works on one task; picklable.
    count : int
        How many processes.

    Raises
    ------
    WorkerError
        The function cannot be sent to a process.
    """

    def __init__(self, function: Callable[[T], R], count: int) -> None:
        self._function = function
        self._workers: list[_Worker[T, R]] = []
        try:
            pickle.dumps(function)
        except (pickle.PicklingError, AttributeError, TypeError) as error:
            raise WorkerError(f"the function cannot be sent to other processes ({error}); {_HINT}") from None
        try:
            for _ in range(count):
                self._workers.append(_Worker(function))
        except BaseException:
            self._end()
            raise

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._end()

    def places(self) -> int:
        """How many workers could take a batch now."""
        return sum(worker.batch is None for worker in self._workers)

    def send(self, batch: Batch[T]) -> None:
        """Give a batch to a worker that has none."""
        worker = next(worker for worker in self._workers if worker.batch is None)
        worker.batch = batch
        with suppress(OSError):  # killed while it had none: found where it is listened to
            worker.pipe.send(batch.tasks)

    def heard(self) -> list[tuple[Batch[T], Answer[R] | None]]:
        """Wait until some batches are done; no answer where one killed its worker.

        Raises
        ------
        WorkerError
            A process does not even start.
        """
        busy = [worker for worker in self._workers if worker.batch]
        ready = set(wait([worker.pipe for worker in busy]))
        found = []
        for worker in busy:
            if worker.pipe in ready and worker.batch and not isinstance(said := self._said(worker), str):
                found.append((worker.batch, said))
                worker.batch = None
        return found

    def _said(self, worker: _Worker[T, R]) -> Answer[R] | str | None:
        """What a worker sends; None, and another in its stead, where it is dead."""
        try:
            said: Answer[R] | str = worker.pipe.recv()
        except (EOFError, OSError):
            if not worker.started:
                raise WorkerError(f"the worker processes do not start; {_HINT}") from None
            self._workers[self._workers.index(worker)] = _Worker(self._function)
            worker.end()
            return None
        worker.started = True
        return said

    def _end(self) -> None:
        for worker in self._workers:
            worker.process.kill()
        for worker in self._workers:
            worker.end()


@contextmanager
def _deaf() -> Iterator[None]:
    """Processes started inside do not hear an interrupt, which ends the study, and this its workers."""
    if sys.platform == "win32":
        yield
        return
    resource_tracker.ensure_running()  # with the first process at the latest, and then it would end the block
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


def _work(pipe: Connection, function: Callable[[T], R]) -> None:
    """The life of a worker: batches in, answers out, until the pipe is closed."""
    one_thread()
    with suppress(EOFError, OSError):  # the study is gone
        pipe.send(_READY)
        while True:
            answer = answered(function, pipe.recv())
            try:
                pipe.send(answer)
            except (pickle.PicklingError, AttributeError, TypeError) as error:
                pipe.send(Answer((), answer.seconds, WorkerError(f"a result cannot be sent back ({error})")))


_HINT = (
    "define it in a module file, neither in a notebook nor inside another function, and let a script begin its own "
    'work under: if __name__ == "__main__"'
)
