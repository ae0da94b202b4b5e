"""Processes that read cases and solve them for a board; only a process can be stopped in the middle of a solve."""

from __future__ import annotations

import asyncio
import multiprocessing
import signal
from collections.abc import AsyncIterator, Mapping
from dataclasses import dataclass, field
from functools import partial
from multiprocessing.connection import Connection
from pathlib import Path
from typing import TYPE_CHECKING, Literal

import numpy as np

from crosscurrent.geometries.errors import CrosscurrentError

from .words import Plain

if TYPE_CHECKING:
    from crosscurrent.casefile.case import Case
    from crosscurrent.solver.field.problem import Problem
    from crosscurrent.solver.field.solution import Solution

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
    maps : frozenset of str
        What is to be painted beside the current density: "loss"; where it is settled "flux", "temperature".
    temperatures : mapping of str to float
        Of conductors as last settled in the air and water of the case [degC].
    scaled : float
        Factor on the currents for the power that is wanted, as last settled.
    """

    tier: Tier
    revision: int
    text: str
    path: Path
    frequency: float | None = None
    maps: frozenset[str] = frozenset()
    temperatures: Mapping[str, float] = field(default_factory=dict)
    scaled: float = 1.0


@dataclass(frozen=True)
class Spacing:
    """What a worker is asked for where a gap was typed: the text in which a row leaves that much to another part."""

    text: str
    path: Path
    row: int
    other: str
    gap: str


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


def spaced(asked: Spacing) -> Reply:
    """The text with a gap as typed, or why there is none."""
    from .gaps import with_gap

    try:
        return Reply({"text": with_gap(asked.text, asked.path.parent, asked.row, asked.other, asked.gap)})
    except CrosscurrentError as error:
        return Reply({"trouble": str(error)})


def work(job: Job, say: Connection | None = None) -> Reply:
    """Do a job; steps of a run go out on the way."""
    from crosscurrent.casefile.reader import case_of

    from . import view

    head: Plain = {"kind": job.tier, "revision": job.revision, "tables": view.tables(job.text)}
    try:
        case = case_of(job.text.encode(), job.path)
        if job.tier == "run":
            return _run(job, head, say)
        # a sweep that is asked for as well does not lead away from what is listed
        first = (*case.data.frequency.at, *case.frequencies)[0]
        frequency = first if job.frequency is None else job.frequency
        head |= {"title": case.title, "frequency": frequency, "listed": case.data.frequency.at}
        head["scene"] = view.scene(case)
        return (_followed if job.tier == "following" else _settled)(job, case, frequency, head)
    except CrosscurrentError as error:
        where = {} if "scene" in head else {"scene": view.sketch(job.text, job.path.parent)}
        return Reply({**head, **where, "faults": view.faults(error)})
    except MemoryError:
        words = "this takes more memory than a board may use; run it with `crosscurrent run`"
        return Reply({**head, "faults": [view.fault(words)]})


def _followed(job: Job, case: Case, frequency: float, head: Plain) -> Reply:
    """Quickly, as warm as it was when it last settled."""
    from crosscurrent.solver.field.following import follow

    from . import field as fields
    from . import view

    flow = follow(_as_last_settled(job, case), frequency)
    head["as_settled"] = bool(job.temperatures)
    head["figures"] = view.followed(flow)
    head["field"], payload = fields.density(flow)
    if "loss" in job.maps:
        found, more = fields.loss(flow)
        head["maps"], payload = {"loss": {"field": found}}, payload + more
    return Reply(head, payload)


def _as_last_settled(job: Job, case: Case) -> Problem:
    """The problem of a case; what air, water and a wanted power make of it, as far as they were found before."""
    from crosscurrent.solver.heat.electrothermal import at_temperatures

    wanted = case.data.power is not None and case.data.power.wanted is not None
    problem = (case.with_currents(job.scaled) if wanted else case).problem()
    if not (case.data.cooling or case.data.water):
        return problem
    warm = [job.temperatures.get(c.name, c.temperature) for c in problem.conductors]
    return at_temperatures(problem, np.array(warm))


def _settled(job: Job, case: Case, frequency: float, head: Plain) -> Reply:
    """The answer of a run at one frequency: in the air and water of the case, at the power that it wants."""
    from crosscurrent.run import one_frequency
    from crosscurrent.topics.work_pieces import at_wanted_power

    from . import field as fields
    from . import view
    from .judged import judged
    from .lines import flux_lines
    from .warmth import warmth

    def solved(changed: Case, at: float) -> Solution:
        return one_frequency(changed, at, (0.0, 1.0), lambda *_: None)

    case = at_wanted_power(case, lambda changed: solved(changed, changed.frequencies[0]))
    solution = solved(case, frequency)
    head |= {
        "figures": view.settled(case, solution), "limits": judged(case, solution), "scaled": case.scaled, "maps": {},
        "temperatures": {c.name: c.temperature for c in solution.problem.conductors},
    }  # fmt: skip
    head["field"], payload = fields.density(solution.fine)
    if "flux" in job.maps:
        head["lines"] = flux_lines(solution.fine)
    if "loss" in job.maps:
        found, more = fields.loss(solution.fine)
        head["maps"]["loss"], payload = {"field": found}, payload + more
    if "temperature" in job.maps:
        head["maps"]["temperature"], more = warmth(case, solution)
        payload += more
    return Reply(head, payload)


def _run(job: Job, head: Plain, say: Connection | None) -> Reply:
    """The whole run, with files and a report."""
    from crosscurrent.run import run_case

    def step(what: str, done: float) -> None:
        if say is not None:
            say.send(Reply({**head, "step": what, "done": done}, last=False))

    result, folder = run_case(job.path, None, progress=step, report=True)
    return Reply({**head, "folder": folder.name, "report": str(folder / "report.html"), "lines": result.summary.lines})


def serve(connection: Connection, ahead: bool = True) -> None:
    """Be a worker until the connection closes; `ahead` loads what longer jobs need before one comes."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    limit_memory()
    from crosscurrent.casefile import reader  # noqa: F401  what the first job needs is loaded before it comes
    from crosscurrent.solver.elements.factor import one_thread
    from crosscurrent.solver.field import following  # noqa: F401

    if ahead and not connection.poll():
        from crosscurrent import run  # noqa: F401

    while True:
        try:
            job = connection.recv()
        except (EOFError, OSError):
            return
        try:
            with one_thread():  # the other processors paint, and settle
                reply = spaced(job) if isinstance(job, Spacing) else work(job, connection)
        except Exception as error:  # whatever it is, the board stays
            from .view import fault

            words = f"this cannot be worked out ({type(error).__name__}: {error}); undo the last step"
            reply = Reply(
                {"trouble": words} if isinstance(job, Spacing)
                else {"kind": job.tier, "revision": job.revision, "faults": [fault(words)]}
            )  # fmt: skip
        connection.send(reply)


def limit_memory() -> None:
    """No more than `MEMORY` for this process, where the system can see to it."""
    try:
        import resource
    except ImportError:  # not on every system
        return
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))


class Worker:
    """One process and the way to it.

    Parameters
    ----------
    ahead : bool
        Whether it loads what longer jobs need before one comes.
    """

    def __init__(self, ahead: bool = True) -> None:
        context = multiprocessing.get_context("spawn")
        self._connection, far = context.Pipe()
        self._process = context.Process(target=serve, args=(far, ahead), daemon=True)
        self._process.start()
        far.close()

    async def replies(self, job: Job | Spacing) -> AsyncIterator[Reply]:
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

    follower: Worker = field(default_factory=partial(Worker, ahead=False))
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
