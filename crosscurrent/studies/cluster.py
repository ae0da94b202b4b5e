"""Workers of many machines: those of a running Dask scheduler.

Each worker has one batch of ours at a time and nobody else may take it over, so that it is known which batch killed
a worker, whatever the scheduler itself would try again.
"""

from __future__ import annotations

import logging
import time
from collections.abc import Callable, Iterator
from concurrent.futures import FIRST_COMPLETED, Future, wait
from contextlib import ExitStack, contextmanager
from types import TracebackType
from typing import Any, Generic, Self, TypeVar

from crosscurrent.extras import extra

from .batch import Answer, Batch, WorkerError, answered

T = TypeVar("T")
R = TypeVar("R")
_CONNECT = 10.0  # for the scheduler to answer [s]
_LOOK = 1.0  # between looks at who is there [s]
PATIENCE = 60.0  # without any worker [s]


class Cluster(Generic[T, R]):
    """A crew of all workers of a scheduler, also those that come later.

    Parameters
    ----------
    function : callable
        Works on one task; the workers have the module that it stands in.
    address : str
        Of the scheduler: "tcp://host:port".

    Raises
    ------
    MissingExtra
        `distributed` is not installed.
    WorkerError
        No scheduler answers.
    """

    def __init__(self, function: Callable[[T], R], address: str) -> None:
        with extra("cluster"):
            from distributed import Client
        self._function = function
        self._address = address
        self._out: dict[Future[Answer[R]], tuple[str, Batch[T]]] = {}
        self._until_end = ExitStack()
        try:
            self._client: Any = Client(address, timeout=_CONNECT, set_as_default=False)
        except (OSError, ValueError) as error:
            raise WorkerError(
                f"{address}: no scheduler answers ({error}); start one with `dask scheduler`, its workers with "
                "`dask worker ADDRESS --nthreads 1`, and give the address that it prints, like tcp://host:8786"
            ) from None
        self._until_end.enter_context(_silence())
        self._there: tuple[str, ...] = ()
        self._looked = self._seen = time.monotonic()
        self._look()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        for future in self._out:
            future.cancel()
        self._client.close(timeout=_CONNECT)
        self._until_end.close()

    def places(self) -> int:
        """How many workers could take a batch now."""
        return len(self._free())

    def send(self, batch: Batch[T]) -> None:
        """Give a batch to a worker that has none."""
        worker = self._free()[0]
        one = self._client.get_executor(workers=[worker], allow_other_workers=False, pure=False, retries=0)
        self._out[one.submit(answered, self._function, batch.tasks)] = worker, batch

    def heard(self) -> list[tuple[Batch[T], Answer[R] | None]]:
        """Wait a while until some batches are done; no answer where one killed its worker.

        Raises
        ------
        WorkerError
            There is no worker for a minute, no scheduler any more, or a worker that cannot do the work.
        """
        done = wait(self._out, timeout=_LOOK, return_when=FIRST_COMPLETED).done
        if not self._out:
            time.sleep(0.1)
        if time.monotonic() - self._looked > _LOOK or not self._there:
            self._look()
        gone = [future for future, (worker, _) in self._out.items() if worker not in self._there]
        found = []
        for future in {*done, *gone}:
            _, batch = self._out.pop(future)
            found.append((batch, self._answer(future)))
        return found

    def _free(self) -> list[str]:
        taken = {worker for worker, _ in self._out.values()}
        return [worker for worker in self._there if worker not in taken]

    def _look(self) -> None:
        """See which workers there are."""
        try:
            self._there = tuple(self._client.nthreads())
        except (OSError, RuntimeError) as error:
            raise WorkerError(f"{self._address}: the scheduler is gone ({error}); {_AGAIN}") from None
        self._looked = time.monotonic()
        if self._there:
            self._seen = self._looked
        elif self._looked - self._seen > PATIENCE:
            raise WorkerError(f"{self._address}: has had no worker for {PATIENCE:.0f} s; {_AGAIN}")

    def _answer(self, future: Future[Answer[R]]) -> Answer[R] | None:
        from distributed import KilledWorker

        if not future.done():
            future.cancel()
            return None
        if future.cancelled():
            raise WorkerError(f"{self._address}: the scheduler has dropped the work; {_AGAIN}")
        error = future.exception()
        if error is None:
            return future.result()
        if isinstance(error, KilledWorker):
            return None
        raise WorkerError(
            f"{self._address}: a worker cannot do the work ({type(error).__name__}: {error}); it needs the same "
            "Python, the same crosscurrent and your own modules"
        )


@contextmanager
def _silence() -> Iterator[None]:
    """Keep the library from printing the traces of what is told in our words."""
    loggers = [logging.getLogger(name) for name in ("distributed", "distributed.client", "tornado.application")]
    levels = [logger.level for logger in loggers]
    for logger in loggers:
        logger.setLevel(logging.CRITICAL)
    try:
        yield
    finally:
        for logger, level in zip(loggers, levels, strict=True):
            logger.setLevel(level)


_AGAIN = (
    "start it and its workers (`dask worker ADDRESS --nthreads 1`) if they do not run, then the same study: it goes on "
    "from there"
)
