"""The command `compare`: designs for one requirement side by side."""

from __future__ import annotations

from pathlib import Path


def compare(*cases: Path, out: Path | None = None) -> None:
    """Put two to eight designs for one requirement side by side.

    Parameters
    ----------
    cases
        The case files.
    out
        Folder for the comparison; "comparison" here if left out.
    """
    from crosscurrent.comparing import compare_cases, write_comparison
    from crosscurrent.folders import check_folder

    from .compare_output import show_comparison
    from .output import progress_bar

    folder = out or Path("comparison")
    check_folder(folder)
    with progress_bar() as progress:
        comparison, results = compare_cases(cases, progress)
        write_comparison(comparison, results, folder)
    show_comparison(comparison, folder)
