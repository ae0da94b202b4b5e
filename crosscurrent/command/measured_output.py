"""What the command `measured` puts on the terminal."""

from __future__ import annotations

from rich.text import Text

from crosscurrent.postprocess.answers.cautions import in_short
from crosscurrent.postprocess.answers.chapter import Chapter

from .output import output, show_line, show_table


def told(line: str) -> None:
    """One line as soon as it is known."""
    output().print(Text(line), soft_wrap=True)


def show_measured(chapter: Chapter) -> None:
    """Table, sentences, warnings and cautions; what was recognised stands above already."""
    console = output()
    console.print()
    for table in chapter.tables:
        show_table(console, table)
    recognised = chapter.record["recognised"]
    before = set(recognised) if isinstance(recognised, (list, tuple)) else set()
    for line in chapter.sentences:
        if line not in before:
            show_line(console, f"{line}.")
    for heading, texts in (("Warnings", chapter.warnings), ("Cautions", (in_short(chapter.cautions),))):
        if texts:
            console.print(Text(heading), style="bold")
        for text in texts:
            show_line(console, text if text.endswith(".") else f"{text}.")
