"""A Dask scheduler and its workers as processes that speak over TCP, forked where the library is loaded already."""

from __future__ import annotations

import asyncio
import multiprocessing
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess
from types import TracebackType
from typing import Any, Self

SERVER = multiprocessing.get_context("forkserver")
SERVER.set_forkserver_preload(["distributed"])


def scheduler(pipe: Connection) -> None:
    asyncio.run(served("Scheduler", pipe, host="127.0.0.1", port=0, dashboard_address=":0"))


def worker(address: str, pipe: Connection) -> None:
    asyncio.run(served("Worker", pipe, address, nthreads=1, dashboard=False, memory_limit=0))


async def served(kind: str, pipe: Connection, *given: object, **further: object) -> None:
    import distributed

    async with getattr(distributed, kind)(*given, **further) as node:
        pipe.send(node.address)
        await node.finished()


class Started:
    """A scheduler and so many workers, which nobody starts again; they end with the `with`."""

    def __init__(self, workers: int) -> None:
        self.processes: list[BaseProcess] = []
        self.address = self._addresses(self._start(scheduler))[0]
        self._addresses(*(self._start(worker, self.address) for _ in range(workers)))

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        for process in reversed(self.processes):
            process.kill()
        for process in self.processes:
            process.join()

    def _start(self, part: Any, *given: object) -> Connection:
        pipe, inside = SERVER.Pipe()
        self.processes.append(SERVER.Process(target=part, args=(*given, inside), daemon=True))
        self.processes[-1].start()
        return pipe

    @staticmethod
    def _addresses(*pipes: Connection) -> list[str]:
        assert all(pipe.poll(60.0) for pipe in pipes), "they do not start"
        return [pipe.recv() for pipe in pipes]
