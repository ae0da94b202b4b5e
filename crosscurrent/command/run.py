"""The command `run`: solve a case file."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

from cyclopts import Parameter


def run(
    case: Path,
    /,
    *,
    out: Path | None = None,
    report: Annotated[bool, Parameter(negative="")] = False,
    everything: Annotated[bool, Parameter(name="--all", negative="")] = False,
) -> None:
    """Solve a case file: print its answers, leave results and pictures in a folder.

    Parameters
    ----------
    case
        The case file (TOML).
    out
        Folder for the results; beside the case and under its name if left out.
    report
        Also leave a report for the customer: report.html, and report.pdf with the extra "pdf".
    everything
        Print all tables, sentences, metals and cautions, not only what matters of each chapter.
    """
    from crosscurrent.run import run_case

    from .output import progress_bar
    from .run_output import show_result

    with progress_bar() as progress:
        result, folder = run_case(case, out, progress, report=report)
    show_result(result, folder, everything=everything)
