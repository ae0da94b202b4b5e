"""What the command `compare` puts on the terminal."""

from __future__ import annotations

from pathlib import Path

from rich.text import Text

from crosscurrent.postprocess.answers.comparison import Comparison

from .output import output, show_line, show_table


def show_comparison(comparison: Comparison, folder: Path) -> None:
    """The verdict, designs side by side, and where they differ."""
    console = output()
    console.print(Text("Verdict", style="bold"))
    for line in comparison.sentences:
        show_line(console, f"{line}.")
    for table in (comparison.table(), comparison.settings_table()):
        show_table(console, table)
    console.print(Text(f"The comparison and its pictures are in {folder}/"))
