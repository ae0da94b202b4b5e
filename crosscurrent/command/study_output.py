"""What the command `study` puts on the terminal."""

from __future__ import annotations

from pathlib import Path

from rich.text import Text

from crosscurrent.studies.words import Said

from .output import output, show_line, show_table


def show_study(said: Said, folder: Path) -> None:
    """The best design, how sure and how flat it is, then a table."""
    console = output()
    console.print(Text("Best order" if said.orders else "Best design", style="bold"))
    for line in said.sentences:
        show_line(console, f"{line}.")
    for table in said.tables:
        show_table(console, table)
    console.print(Text(f"The study, its designs and its pictures are in {folder}/"))
