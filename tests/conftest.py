"""One thread per test process: the sections are small, and threads that wait for each other cost thrice the time."""

import os
from pathlib import Path

import pytest

for name in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"):
    os.environ.setdefault(name, "1")


@pytest.fixture
def no_pictures(monkeypatch: pytest.MonkeyPatch) -> None:
    """Pictures have their own tests and take most of the time."""

    def none(result: object, folder: Path) -> list[Path]:
        folder.mkdir()
        return []

    monkeypatch.setattr("crosscurrent.result.drawn", none)
