"""The command as a shell sees it, and a small case file for it."""

from pathlib import Path

import pytest
from topic_cases import SCREENED_RODS

from crosscurrent.__main__ import main


@pytest.fixture
def run(capsys):
    """Run the command; give its exit code, standard output and standard error."""

    def call(*arguments):
        status = main(arguments)
        return (status, *capsys.readouterr())

    return call


@pytest.fixture
def case(tmp_path: Path) -> Path:
    path = tmp_path / "rods.toml"
    path.write_text(SCREENED_RODS, encoding="utf-8")
    return path
