"""What the command `run` puts on the terminal: the first screen, then what matters of each chapter, or everything."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path

from rich.console import Console
from rich.text import Text

from crosscurrent.postprocess.answers.answers import Answers
from crosscurrent.postprocess.answers.bundle_sums import whole_conductors
from crosscurrent.postprocess.answers.cautions import in_short
from crosscurrent.postprocess.answers.noise import flows
from crosscurrent.postprocess.answers.summary import lines
from crosscurrent.postprocess.answers.tables import sentences, tables
from crosscurrent.postprocess.answers.units import concise, permeability
from crosscurrent.result import Result

from .output import output, show_hanging, show_line, show_table

SHOWN = 6  # frequencies whose tables are printed with everything
BRIEF = 2  # sentences of a chapter without
LISTED = 3  # conductors and warnings without


def show_result(result: Result, folder: Path, *, everything: bool = False) -> None:
    """The answers, and where the files are."""
    console = output()
    console.print(Text(result.case.title), style="bold")
    for line in lines(result.summary):
        show_hanging(console, line)
    console.print()
    if everything:
        _show_everything(console, result)
    else:
        _show_brief(console, result)
    console.print(Text(f"\nResults, pictures and fields are in {folder}/"))
    if not everything:
        console.print("results.json and table.csv hold every figure; --all prints tables, metals and whole cautions.")


def _show_brief(console: Console, result: Result) -> None:
    point = next(point for point in result.points if point.frequency in result.solutions)
    losing = sorted(whole_conductors(point), key=lambda c: -c.loss)[:LISTED]
    which = f" at {concise(point.frequency, 'Hz')}" if len(result.points) > 1 else ""
    _chapter(console, f"Where the current flows{which}", [f"{c.name}: {flows(c, point)}" for c in losing])
    for chapter in result.chapters:
        # the verdict as a whole stands above
        said = chapter.sentences[1:] if chapter.key == "limits" else chapter.sentences
        _chapter(console, chapter.title, said[:BRIEF])
    warnings = result.heading.warnings
    left = len(warnings) - LISTED
    _chapter(console, "Warnings", [*warnings[:LISTED], *([f"{left} more: --all"] if left > 0 else [])])
    _chapter(console, "Cautions", [in_short(result.cautions)])


def _chapter(console: Console, title: str, said: Sequence[str]) -> None:
    if said:
        console.print(Text(title), style="bold")
    for line in said:
        show_line(console, line if line.endswith((".", "--all")) else f"{line}.")


def _show_everything(console: Console, result: Result) -> None:
    shown = [point for point in result.points if point.frequency in result.solutions][:SHOWN]
    for point in shown:
        _show_point(console, point, result.case.length)
    if len(result.points) > len(shown):
        left = len(result.points) - len(shown)
        console.print(f"... and {left} more frequencies in table.csv and results.json.\n")
    for chapter in filter(lambda one: one.is_told, result.chapters):
        console.print(Text(chapter.title), style="bold")
        for answer in chapter.tables:
            show_table(console, answer)
        for sentence in chapter.sentences:
            show_line(console, f"{sentence}.")
        console.print()
    console.print("Metals:")
    for line in _metals(result):
        show_line(console, line)
    console.print()
    for heading, texts in (("Warnings", result.heading.warnings), ("Cautions", result.heading.cautions)):
        if texts:
            console.print(f"{heading}:", style="bold")
            for text in texts:
                show_line(console, f"- {text}")


def _show_point(console: Console, point: Answers, length: float | None) -> None:
    for answer in tables(point, length):
        show_table(console, answer)
    console.print("Where the current flows:")
    for sentence in sentences(point):
        show_line(console, f"{sentence}.")
    console.print(
        f"{point.unknowns} unknowns of order {point.order}; loss from the current density and from the "
        f"terminals differ by {max(point.power_balance, 1e-16):.0e}.\n"
    )


def _metals(result: Result) -> Iterator[str]:
    """Every metal of the case by its constants and where they come from; that of strands askew beside that of bars."""
    metals = (m for c in result.case.problem().conductors for m in c.metals)
    for metal in {(m.name, m.conductivity): m for m in metals}.values():
        here = "does not conduct"
        if metal.conductivity:
            rise = f"{100 * metal.temperature_coefficient:.3g} %/K"
            here = f"{metal.conductivity / 1e6:.4g} MS/m at {metal.reference:g} degC, resistivity +{rise}"
        if metal.permeability != 1:
            here += f", relative permeability {permeability(metal.permeability, metal.permeability_loss)}"
        yield f"{metal.name}: {here}; {metal.source or 'as the case says'}."
