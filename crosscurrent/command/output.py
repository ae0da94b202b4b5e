"""What all commands share of the terminal: lines, tables, progress."""

from __future__ import annotations

import re
import sys
import textwrap
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from threading import Event, Thread
from typing import TYPE_CHECKING

from rich import box
from rich.console import Console
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from crosscurrent.studies.pace import rounded

if TYPE_CHECKING:
    from crosscurrent.postprocess.answers.tables import TextTable

Progress = Callable[[str, float], None]
HANGING = " " * 4  # before what goes on of a line that is wider than its terminal
STEPS = 12  # of a run from which its pace says how long it takes: one of few long ones has none
EVERY = 5.0  # from one line of progress to the next, where there is no terminal [s]


def say(text: str) -> None:
    """One line on standard output."""
    sys.stdout.write(f"{text}\n")


@contextmanager
def progress_bar(*, forecast: bool = True) -> Iterator[Progress]:
    """A bar on standard error, in a file or a pipe a line every few seconds, none of a short run.

    The callback takes what is being done and the share done, 0 to 1. Without a forecast, what is being done says itself
    how long it still takes.
    """
    console = Console(stderr=True)
    if not console.is_terminal:
        with _progress_lines(forecast) as told:
            yield told
        return
    from rich.progress import BarColumn, TextColumn, TimeElapsedColumn
    from rich.progress import Progress as Bar

    columns = (TextColumn("{task.description}"), BarColumn(), TimeElapsedColumn())
    with Bar(*columns, console=console, transient=True) as bar:
        task, pace = bar.add_task("", total=1.0), RunPace()

        def show(step: str, share: float) -> None:
            pace.reach(share)
            bar.update(task, description=f"{step}{pace.words() if forecast else ''}", completed=share)

        yield show


@contextmanager
def _progress_lines(forecast: bool) -> Iterator[Progress]:
    """Lines from a thread of their own, since a single step may take longer than the time between two of them."""
    begin, over, pace = time.monotonic(), Event(), RunPace()
    last: list[tuple[str, float]] = []

    def tell() -> None:
        while not over.wait(EVERY):
            for step, share in last[-1:]:
                with suppress(OSError, ValueError):  # whoever read it may be gone
                    done = f"{time.monotonic() - begin:.0f} s, {100 * share:.0f} % done"
                    sys.stderr.write(f"{done}: {step}{pace.words() if forecast else ''}\n")
                    sys.stderr.flush()

    def note(step: str, share: float) -> None:
        pace.reach(share)
        last[:] = [(step, share)]

    thread = Thread(target=tell, daemon=True)
    thread.start()
    try:
        yield note
    finally:
        over.set()
        thread.join()


class RunPace:
    """How long a run of many steps still takes, if it goes on as it did.

    Parameters
    ----------
    clock : callable
        Gives the time [s].

    Examples
    --------
    >>> ticks = iter(range(100))
    >>> pace = RunPace(clock=lambda: 10.0 * next(ticks))
    >>> for k in range(21):
    ...     pace.reach(k / 50)
    >>> pace.words()
    ', about 5 min left'
    """

    def __init__(self, clock: Callable[[], float] = time.monotonic) -> None:
        self._clock = clock
        self._marks = [(clock(), 0.0)]

    def reach(self, share: float) -> None:
        """Note the share of the run that is done."""
        if share > self._marks[-1][1]:
            self._marks.append((self._clock(), share))

    def words(self) -> str:
        """About how long all that follows takes; nothing of few steps, or where the last takes longer than that."""
        (begun, _), (then, reached) = self._marks[0], self._marks[-1]
        if len(self._marks) <= STEPS:
            return ""
        left = (then - begun) * (1 / reached - 1) - (self._clock() - then)
        return f", about {rounded(left)} left" if left > 0 else ""


def show_line(console: Console, line: str) -> None:
    """An entry of a list, indented however many lines it takes."""
    console.print(Padding(Text(line), (0, 0, 0, 2)))


def show_hanging(console: Console, line: str) -> None:
    """A line; where the console is narrower it goes on indented, and no number stands apart from its unit or bar."""
    bound = re.sub(r"(?<=\d) (?=[^\W\d]|%|\+-)|(?<=\+-) |(?<=\b[A-Z]) (?=\d)", "\u00a0", line)
    wrapper = textwrap.TextWrapper(
        console.width, subsequent_indent=HANGING, break_long_words=False, break_on_hyphens=False
    )
    for part in wrapper.wrap(bound):
        console.print(Text(part.replace("\u00a0", " ")), soft_wrap=True)


def show_table(console: Console, answer: TextTable) -> None:
    """A table, cut to the width of the console, under its heading."""
    from crosscurrent.postprocess.answers.column_width import fitted

    console.print(Text(answer.heading, style="italic"))
    for part in fitted(answer, console.width):
        table = new_table(None)
        for number, column in enumerate(part.columns):
            table.add_column(Text(column), justify="right" if number else "left", no_wrap=True)
        for row in part.rows:
            table.add_row(*(Text(cell) for cell in row))
        console.print(table)


def output() -> Console:
    """Standard output, as wide as its terminal; 120 where it goes into a file or a pipe."""
    return Console(width=None if sys.stdout.isatty() else 120, highlight=False)


def new_table(title: str | None) -> Table:
    """An empty table in the look of all commands."""
    return Table(
        title=None if title is None else Text(title),
        box=box.SIMPLE_HEAD,
        title_justify="left",
        pad_edge=False,
        collapse_padding=True,
    )


