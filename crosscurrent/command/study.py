"""The command `study`: try the designs that a case file spans, and find the best."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Annotated

from cyclopts import Parameter


def study(
    case: Path,
    /,
    *,
    out: Path | None = None,
    workers: int | None = None,
    cluster: str | None = None,
    report: Annotated[bool, Parameter(negative="")] = False,
) -> None:
    """Vary what [[vary]] of a case file says: curves, maps, trade-offs, and the best design inside [limits].

    Parameters
    ----------
    case
        The case file (TOML) with tables [[vary]] and perhaps [study].
    out
        Folder for the study; beside the case and under its name with "-study" if left out.
    workers
        Processes that solve designs side by side; as many as there are processors if left out.
    cluster
        Address of a running Dask scheduler that is sent the designs instead, such as tcp://10.0.0.5:8786.
    report
        Also leave a report on the best design in its folder, with the study as a chapter.
    """
    from crosscurrent.studies.conduct import study_case

    from .output import progress_bar
    from .study_output import show_study

    with progress_bar(forecast=False) as progress:
        count = workers or os.cpu_count() or 1
        found, folder = study_case(case, out, progress, workers=count, cluster=cluster, report=report)
    show_study(found, folder)
