"""One thread per test process: the sections are small, and threads that wait for each other cost thrice the time."""

import gc
import os
from collections.abc import Generator
from pathlib import Path

import pytest

for name in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"):
    os.environ.setdefault(name, "1")


@pytest.hookimpl(wrapper=True)
def pytest_collection() -> Generator[None, object, object]:
    """Thousands of tests stay to the end: looking for garbage among them takes a third of collecting."""
    gc.disable()
    found = yield
    gc.freeze()
    gc.enable()
    return found


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """A long file that would stand near the end comes first, so that no worker waits for it."""
    items.sort(key=lambda item: item.path.name != "test_readme.py")


@pytest.fixture
def no_pictures(monkeypatch: pytest.MonkeyPatch) -> None:
    """Pictures have their own tests and take most of the time."""

    def none(result: object, folder: Path) -> list[Path]:
        folder.mkdir()
        return []

    monkeypatch.setattr("crosscurrent.result.drawn", none)
