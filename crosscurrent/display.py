"""What the commands put on the terminal: tables, drawings, progress."""

from __future__ import annotations

import math
import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

from rich import box
from rich.console import Console
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from .catalogue import CATALOGUE, COMMON_KEYS, Key
from .solver.depth import BEST_DEPTHS, sheet_resistance, worthwhile_thickness
from .solver.materials import Material

if TYPE_CHECKING:
    from .cases.run import Result
    from .postprocess.comparison import Comparison
    from .postprocess.tables import TextTable

Progress = Callable[[str, float], None]
SHOWN = 6  # frequencies whose tables are printed


def say(text: str) -> None:
    """One line on standard output."""
    sys.stdout.write(f"{text}\n")


@contextmanager
def progress_bar() -> Iterator[Progress]:
    """A bar on standard error, only on a terminal; the callback takes what is being done and the share done, 0 to 1."""
    from rich.progress import BarColumn, TextColumn, TimeElapsedColumn
    from rich.progress import Progress as Bar

    console = Console(stderr=True)
    columns = (TextColumn("{task.description}"), BarColumn(), TimeElapsedColumn())
    with Bar(*columns, console=console, transient=True, disable=not console.is_terminal) as bar:
        task = bar.add_task("", total=1.0)
        yield lambda step, share: bar.update(task, description=step, completed=share)


def show_depths(metals: Sequence[Material], frequencies: Sequence[float], temperature: float) -> None:
    """The table of the command `depth`: frequencies [Hz], one temperature [degC]."""
    from .postprocess.tables import TextTable
    from .postprocess.units import THOU, concise, engineering

    rows = []
    for metal in metals:
        for frequency in frequencies:
            delta = metal.skin_depth(frequency, temperature)
            enough = worthwhile_thickness(delta)
            sheet = sheet_resistance(metal.conductivity_at(temperature), delta)
            lengths = [(_digits(length * 1e3), _digits(length / THOU)) for length in (delta, enough)]
            rows.append((metal.name, concise(frequency, "Hz"), *lengths[0], engineering(sheet, "ohm", 4), *lengths[1]))
    columns = ("metal", "at", "skin depth [mm]", "[thou]", "sheet resistance", "worth paying for [mm]", "[thou]")
    console = output()
    show_table(console, TextTable(f"Skin depth at {temperature:g} degC", columns, tuple(rows)))
    console.print(
        f"Worth paying for: from {worthwhile_thickness(1.0):.2f} skin depths on, no thicker wall has 1 % less "
        f"resistance (field on one side; take twice that with the field on both). The best wall has {BEST_DEPTHS:.2f} "
        "skin depths, 8.3 % below a very thick one; the sheet resistance is that of a very thick one.\n"
    )
    for metal in metals:
        here = f"{metal.conductivity_at(temperature) / 1e6:.4g} MS/m at {temperature:g} degC"
        magnetic = f", relative permeability {metal.permeability:g}" if metal.permeability != 1 else ""
        console.print(f"{metal.name}: {here}{magnetic}. Source: {metal.source}.", markup=False)
        if metal.note:
            console.print(f"    Mind: {metal.note}.", markup=False)


def show_result(result: Result, folder: Path) -> None:
    """Answers, where the current flows, warnings, cautions, and where the files are."""
    from .postprocess.tables import sentences, tables

    console = output()
    console.print(Text(result.case.title), style="bold")
    shown = [point for point in result.points if point.frequency in result.solutions][:SHOWN]
    for point in shown:
        for answer in tables(point, result.case.length):
            show_table(console, answer)
        console.print("Where the current flows:")
        for sentence in sentences(point):
            _show_line(console, f"{sentence}.")
        console.print(
            f"{point.unknowns} unknowns of order {point.order}; loss from the current density and from the "
            f"terminals differ by {max(point.power_balance, 1e-16):.0e}.\n"
        )
    if len(result.points) > len(shown):
        left = len(result.points) - len(shown)
        console.print(f"... and {left} more frequencies in table.csv and results.json.\n")
    for chapter in result.chapters:
        console.print(Text(chapter.title), style="bold")
        for answer in chapter.tables:
            show_table(console, answer)
        for sentence in chapter.sentences:
            _show_line(console, f"{sentence}.")
        console.print()
    console.print("Metals:")
    for line in _metals(result):
        _show_line(console, line)
    console.print()
    for heading, lines in (("Warnings", result.heading.warnings), ("Cautions", result.heading.cautions)):
        if lines:
            console.print(f"{heading}:", style="bold")
            for line in lines:
                _show_line(console, f"- {line}")
    console.print(Text(f"\nResults, pictures and fields are in {folder}/"))


def _show_line(console: Console, line: str) -> None:
    """An entry of a list, indented however many lines it takes."""
    console.print(Padding(Text(line), (0, 0, 0, 2)))


def _metals(result: Result) -> Iterator[str]:
    """Every metal of the case by its constants and where they come from."""
    for metal in {m.name: m for c in result.case.problem().conductors for m in c.metals}.values():
        magnetic = f", relative permeability {metal.permeability:g}" if metal.permeability != 1 else ""
        rise = f"{100 * metal.temperature_coefficient:.3g} %/K"
        here = f"{metal.conductivity / 1e6:.4g} MS/m at {metal.reference:g} degC, resistivity +{rise}{magnetic}"
        yield f"{metal.name}: {here}; {metal.source or 'as the case says'}."


def show_comparison(comparison: Comparison, folder: Path) -> None:
    """Designs side by side, and where they differ."""
    console = output()
    for table in (comparison.table(), comparison.settings_table()):
        show_table(console, table)
    console.print(Text(f"The comparison and its pictures are in {folder}/"))


def show_table(console: Console, answer: TextTable) -> None:
    """A table, cut to the width of the console, under its heading."""
    from .postprocess.narrow import fitted

    console.print(Text(answer.heading, style="italic"))
    for part in fitted(answer, console.width):
        table = new_table(None)
        for number, column in enumerate(part.columns):
            table.add_column(Text(column), justify="right" if number else "left", no_wrap=True)
        for row in part.rows:
            table.add_row(*(Text(cell) for cell in row))
        console.print(table)


def show_catalogue() -> None:
    """The table of the command `shapes`."""
    table = new_table("Shapes of a case file")
    table.add_column("shape")
    table.add_column("section", no_wrap=True)
    table.add_column("keys")
    for name, entry in CATALOGUE.items():
        keys = "\n".join(f"{key.name}{' (optional)' if key.optional else ''}" for key in entry.keys)
        table.add_row(f"{name}\n\n", Text(f"{entry.drawing}\n"), Text(f"{keys}\n"))
    output().print(table)
    say(f"Every conductor also takes {', '.join(COMMON_KEYS)}.")
    say("More about one of them: crosscurrent shapes SHAPE. A case file that runs: crosscurrent new SHAPE.")


def show_shape(name: str) -> None:
    """One shape in detail, with a sample to copy."""
    entry = CATALOGUE[name]
    table = new_table(None)
    for heading in ("key", "sample", "meaning"):
        table.add_column(heading)
    for key in entry.keys:
        table.add_row(Text(key.name), Text(_short(key)), Text(key.meaning + (" (optional)" if key.optional else "")))
    say(f"{name}: {entry.summary}\n\n{entry.drawing}\n")
    output().print(table)
    say(f'\n[[conductor]]\nname = "outgoing"\nshape = "{name}"')
    for key in entry.keys:
        say(f"{key.name} = {key.sample}")
    say('centre = ["0 mm", "0 mm"]\nmaterial = "copper"')


def _short(key: Key) -> str:
    return key.sample if len(key.sample) < 30 else "see below"


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


def _digits(value: float) -> str:
    """Four significant digits without an exponent."""
    return f"{value:.{max(0, 3 - math.floor(math.log10(value)))}f}"
