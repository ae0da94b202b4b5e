"""Processes that read cases and solve them for a board; only a process can be stopped in the middle of a solve."""

from __future__ import annotations

import asyncio
import multiprocessing
import signal
from collections.abc import AsyncIterator
from dataclasses import dataclass, field
from multiprocessing.connection import Connection
from pathlib import Path
from typing import Literal

from crosscurrent.geometries.errors import CrosscurrentError

from .words import Plain

MEMORY = 6 * 2**30  # a drawing or a section that wants more is given up [byte]
Tier = Literal["following", "settled", "run"]


@dataclass(frozen=True)
class Job:
    """What a worker is asked for.

    Attributes
    ----------
    tier : "following", "settled" or "run"
        Without bars; with bars; the whole run with its files and report.
    revision : int
        Of the text.
    text : str
        Of the case file.
    path : Path
        Where it lies or is to lie.
    frequency : float or None
        [Hz]; the first of the case if not given.
    with_lines : bool
        Flux lines too, where it is settled.
    """

    tier: Tier
    revision: int
    text: str
    path: Path
    frequency: float | None = None
    with_lines: bool = False


@dataclass(frozen=True)
class Reply:
    """What a worker answers: words for JSON, and numbers of a field.

    Attributes
    ----------
    last : bool
        Whether the job is done with it.
    """

    header: Plain
    payload: bytes = b""
    last: bool = True


def work(job: Job, say: Connection | None = None) -> Reply:
    """Do a job; steps of a run go out on the way."""
    from crosscurrent.casefile.reader import case_of

    from . import view
    from .lines import flux_lines

    head: Plain = {"kind": job.tier, "revision": job.revision, "tables": view.tables(job.text)}
    try:
        case = case_of(job.text.encode(), job.path)
        if job.tier == "run":
            return _run(job, head, say)
        frequency = case.frequencies[0] if job.frequency is None else job.frequency
        head |= {"title": case.title, "frequency": frequency, "asked": case.frequencies[0], "scene": view.scene(case)}
        if job.tier == "following":
            from crosscurrent.solver.field.following import follow

            flow = follow(case.problem(), frequency)
            head["figures"] = view.followed(case, flow)
        else:
            from crosscurrent.solver.field.solve import solve

            solution = solve(case.problem(), frequency, accuracy=case.accuracy)
            flow = solution.fine
            head["figures"] = view.settled(case, solution)
            if job.with_lines:
                head["lines"] = flux_lines(flow)
        head["field"], payload = view.field(flow)
        return Reply(head, payload)
    except CrosscurrentError as error:
        return Reply({**head, "faults": view.faults(error)})
    except MemoryError:
        words = "this takes more memory than a board may use; run it with `crosscurrent run`"
        return Reply({**head, "faults": [{"line": None, "key": "", "place": "", "words": words}]})


def _run(job: Job, head: Plain, say: Connection | None) -> Reply:
    """The whole run, with files and a report."""
    from crosscurrent.run import run_case

    def step(what: str, done: float) -> None:
        if say is not None:
            say.send(Reply({**head, "step": what, "done": done}, last=False))

    result, folder = run_case(job.path, None, progress=step, report=True)
    return Reply({**head, "folder": folder.name, "report": str(folder / "report.html"), "lines": result.summary.lines})


def serve(connection: Connection) -> None:
    """Be a worker until the connection closes."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    _limit_memory()
    from crosscurrent.casefile import reader  # noqa: F401  what the first job needs is loaded before it comes
    from crosscurrent.solver.field import following, solve  # noqa: F401

    while True:
        try:
            job = connection.recv()
        except (EOFError, OSError):
            return
        try:
            reply = work(job, connection)
        except Exception as error:  # whatever it is, the board stays
            words = f"this cannot be worked out ({type(error).__name__}: {error}); undo the last step"
            reply = Reply(
                {"kind": job.tier, "revision": job.revision,
                 "faults": [{"line": None, "key": "", "place": "", "words": words}]}
            )  # fmt: skip
        connection.send(reply)


def _limit_memory() -> None:
    try:
        import resource
    except ImportError:  # not on every system
        return
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))


class Worker:
    """One process and the way to it."""

    def __init__(self) -> None:
        context = multiprocessing.get_context("spawn")
        self._connection, far = context.Pipe()
        self._process = context.Process(target=serve, args=(far,), daemon=True)
        self._process.start()
        far.close()

    async def replies(self, job: Job) -> AsyncIterator[Reply]:
        """Answers to a job as they come.

        Raises
        ------
        EOFError
            The process was stopped.
        """
        self._connection.send(job)
        while True:
            await self._readable()
            reply = self._connection.recv()
            yield reply
            if reply.last:
                return

    async def _readable(self) -> None:
        loop, ready = asyncio.get_running_loop(), asyncio.Event()
        number = self._connection.fileno()
        loop.add_reader(number, ready.set)
        try:
            await ready.wait()
        finally:
            loop.remove_reader(number)

    def stop(self) -> None:
        """End it, whatever it does."""
        self._process.kill()
        self._process.join()
        self._connection.close()


@dataclass
class Crew:
    """A worker for what follows the hand, one for what takes longer, and one that stands by."""

    follower: Worker = field(default_factory=Worker)
    settler: Worker = field(default_factory=Worker)
    _spare: Worker | None = None
    _ended: bool = False  # work that is cut off at the end asks for no other worker

    def replace_settler(self) -> None:
        """Stop the longer work; the spare goes on at once."""
        if self._ended:
            return
        self.settler.stop()
        self.settler = self._spare or Worker()
        self._spare = Worker()

    def replace_follower(self) -> None:
        """The same for what follows the hand."""
        if self._ended:
            return
        self.follower.stop()
        self.follower = self._spare or Worker()
        self._spare = Worker()

    def stand_by(self) -> None:
        """Have a spare."""
        self._spare = self._spare or Worker()

    def stop(self) -> None:
        """End all of them."""
        self._ended = True
        for worker in (self.follower, self.settler, self._spare):
            if worker is not None:
                worker.stop()
