"""The worked notebook: it runs, says what the case files of the same bars state, and is shipped with those outputs."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest

CASES = Path(__file__).parents[2] / "cases"
NOTEBOOK = CASES / "pier-feed.ipynb"


def stated(case: str) -> str:
    """The comment in which a case file states its answer."""
    return (CASES / f"{case}.toml").read_text(encoding="utf-8").split("\n\n")[0].replace("\n# ", " ")


def texts(cells: list[Any]) -> str:
    """Everything the code cells have written, pictures left out."""
    found = []
    for cell in cells:
        for output in cell.get("outputs", ()):
            assert output["output_type"] != "error", output
            shown = [text for kind, text in sorted(output.get("data", {}).items()) if kind.startswith("text/")]
            found += ["".join(text) for text in (output.get("text", ""), *shown)]
    return "\n".join(found)


@pytest.fixture(scope="module")
def shipped() -> dict[str, Any]:
    read: dict[str, Any] = json.loads(NOTEBOOK.read_text(encoding="utf-8"))
    return read


@pytest.fixture(scope="module")
def executed() -> str:
    nbformat = pytest.importorskip("nbformat", reason="notebooks are executed where nbformat is installed")
    nbclient = pytest.importorskip("nbclient", reason="notebooks are executed where nbclient is installed")
    pytest.importorskip("ipykernel", reason="notebooks are executed where ipykernel is installed")
    notebook = nbformat.read(NOTEBOOK, as_version=4)
    for cell in notebook.cells:
        cell.pop("outputs", None)
        if cell.cell_type == "code":
            cell.outputs = []
    where = {"metadata": {"path": str(CASES)}}
    nbclient.NotebookClient(notebook, timeout=300, kernel_name="python3", resources=where).execute()
    return texts(notebook.cells)


@pytest.mark.parametrize(
    ("case", "unit"), [(c, u) for c in ("feed-facing", "feed-edge-to-edge") for u in ("mohm/m", "nH/m")]
)
def test_the_answers_are_those_that_the_case_files_state(executed: str, case: str, unit: str) -> None:
    match = re.search(rf"([0-9.]+) {unit}", stated(case))
    assert match is not None
    assert match[0] in executed


def test_the_loss_is_the_one_that_the_case_file_states(executed: str) -> None:
    assert "1271 W/m" in stated("feed-facing")
    assert "loss = 1271 W/m" in executed


def test_a_uniform_current_has_the_resistance_at_50_hz(executed: str) -> None:
    match = re.search(r" 50 Hz: R +([0-9.]+) times", executed)
    assert match is not None
    assert 1 < float(match[1]) < 1.02


def test_the_shipped_outputs_are_those_of_a_run(shipped: dict[str, Any], executed: str) -> None:
    """But for error bars, whose last digit may differ with the libraries."""
    numbers = re.compile(r"[0-9.]+")
    before, after = texts(shipped["cells"]), executed
    assert numbers.sub("#", before).split() == numbers.sub("#", after).split()
    for answer in ("R = 1.569 mohm/m", "L = 15.16 nH/m", "10.11 mohm/m", "feed 308 A", "1 of 2 limits fail"):
        assert answer in before, answer
        assert answer in after, answer


def test_it_is_clean_and_small(shipped: dict[str, Any]) -> None:
    assert NOTEBOOK.stat().st_size < 400_000
    assert shipped["metadata"] == {
        "kernelspec": {"display_name": "Python 3", "language": "python", "name": "python3"},
        "language_info": {"name": "python"},
    }
    assert all(cell["metadata"] == {} for cell in shipped["cells"])
    counts = [cell["execution_count"] for cell in shipped["cells"] if cell["cell_type"] == "code"]
    assert counts == [*range(1, len(counts) + 1)]
    kinds = {kind for cell in shipped["cells"] for output in cell.get("outputs", ()) for kind in output.get("data", ())}
    assert kinds == {"text/plain", "text/html", "image/svg+xml", "image/png"}
