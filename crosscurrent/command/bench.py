"""The command `bench`: a drawing board in the browser, on this machine only."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

from cyclopts import Parameter


def bench(case: Path | None = None, /, *, show: Annotated[bool, Parameter(negative="--no-show")] = True) -> None:
    """Open a drawing board in the browser: drag and type, and current, R, L and loss follow.

    It answers this machine only, reads and writes in one folder only, and ends a minute after its last tab.

    Parameters
    ----------
    case
        The case file (TOML) to open; its folder is the one worked in. Without it the current folder, and two bars.
    show
        Open the browser; else only print the address.
    """
    from crosscurrent.page.conduct import run_bench

    from .output import say

    run_bench(case, say, show=show)
