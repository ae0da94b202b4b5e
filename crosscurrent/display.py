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
    from .postprocess.units import THOU, concise, engineering

    table = new_table(f"Skin depth at {temperature:g} degC")
    table.add_column("metal")
    table.add_column("frequency", justify="right")
    for heading in ("skin depth\n[mm]", "\n[thou]", "sheet\nresistance", "worth paying\nfor [mm]", "\n[thou]"):
        table.add_column(Text(heading), justify="right")
    for metal in metals:
        for frequency in frequencies:
            delta = metal.skin_depth(frequency, temperature)
            enough = worthwhile_thickness(delta)
            sheet = sheet_resistance(metal.conductivity_at(temperature), delta)
            lengths = [(_digits(length * 1e3), _digits(length / THOU)) for length in (delta, enough)]
            table.add_row(metal.name, concise(frequency, "Hz"), *lengths[0], engineering(sheet, "ohm", 4), *lengths[1])
        table.add_section()
    console = output()
    console.print(table)
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
    for point in result.points[:SHOWN]:
        for answer in tables(point, result.case.length):
            console.print(_as_table(answer))
        console.print("Where the current flows:")
        for sentence in sentences(point):
            console.print(Text(f"  {sentence}."))
        console.print(
            f"{point.unknowns} unknowns of order {point.order}; loss from the current density and from the "
            f"terminals differ by {max(point.power_balance, 1e-16):.0e}.\n"
        )
    if len(result.points) > SHOWN:
        console.print(f"... and {len(result.points) - SHOWN} more frequencies in table.csv and results.json.\n")
    for chapter in result.chapters:
        console.print(Text(chapter.title), style="bold")
        for answer in chapter.tables:
            console.print(_as_table(answer))
        for sentence in chapter.sentences:
            console.print(Text(f"  {sentence}."))
        console.print()
    for heading, lines in (("Warnings", result.heading.warnings), ("Cautions", result.heading.cautions)):
        if lines:
            console.print(f"{heading}:", style="bold")
            for line in lines:
                console.print(Padding(Text(f"- {line}"), (0, 0, 0, 2)))
    console.print(Text(f"\nResults, pictures and fields are in {folder}/"))


def show_comparison(comparison: Comparison, folder: Path) -> None:
    """Designs side by side, and where they differ."""
    console = output()
    for table in (comparison.table(), comparison.settings_table()):
        console.print(_as_table(table))
    console.print(Text(f"The comparison and its pictures are in {folder}/"))


def _as_table(answer: TextTable) -> Table:
    table = new_table(answer.heading)
    for number, column in enumerate(answer.columns):
        table.add_column(Text(column), justify="right" if number else "left")
    for row in answer.rows:
        table.add_row(*(Text(cell) for cell in row))
    return table


def show_catalogue() -> None:
    """The table of the command `shapes`."""
    table = new_table("Shapes of a case file")
    table.add_column("shape")
    table.add_column("section")
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
    """Standard output; wide enough for every table where it goes into a file or a pipe."""
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
