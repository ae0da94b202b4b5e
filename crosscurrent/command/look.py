"""The command `look`: what a drawing, a finished mesh or a case holds."""

from __future__ import annotations

from pathlib import Path

from .app import check_picture, write_new


def look(
    file: Path,
    /,
    *,
    unit: str | None = None,
    scale: float = 1.0,
    picture: Path | None = None,
    case: Path | None = None,
) -> None:
    """What a drawing (DXF, SVG), a finished mesh or a case holds: outlines, sizes, areas, gaps, what is left out.

    Parameters
    ----------
    file
        The drawing, the mesh, or the case file, whose places it shows without a solve.
    unit
        Of the file, where it does not say: mm, cm, m, um, in, thou or ft.
    scale
        Factor on all lengths.
    picture
        File for a picture of it (.png or .svg).
    case
        Name of a new case file, started from it.
    """
    from .look_output import case_from, draw, open_file, show
    from .output import say

    seen = open_file(file, unit, scale)
    if picture is not None:
        check_picture(picture)
    text = case_from(seen, case) if case is not None else ""
    show(seen)
    if picture is not None:
        draw(seen, picture)
        say(f"Wrote {picture}.")
    if case is not None:
        write_new(case, text, "--case")
        say(f"Wrote {case}. Solve it with: crosscurrent run {case}")
