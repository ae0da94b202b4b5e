"""The command `measured`: what a meter showed, laid over what is calculated."""

from __future__ import annotations

from pathlib import Path


def measured(case: Path, file: Path, /, *, out: Path | None = None) -> None:
    """Lay the file of a meter over a case: R and L measured and calculated, and what the difference says.

    Parameters
    ----------
    case
        The case file (TOML); its table [measured] says what the file does not: length, temperature, accuracy.
    file
        Of the meter: CSV of any layout, or Touchstone (.s1p, .s2p).
    out
        Folder for the table, the picture and measured.json; none if left out.
    """
    from crosscurrent.folders import check_folder
    from crosscurrent.measuring import lay_over, write_measured

    from .measured_output import show_measured, told
    from .output import progress_bar

    if out is not None:
        check_folder(out)
    with progress_bar() as progress:
        found = lay_over(case, file, told=told, progress=progress)
    show_measured(found)
    if out is not None:
        write_measured(found, out)
        told(f"table, picture and measured.json are in {out}/")
