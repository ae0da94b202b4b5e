"""What questions over time and frequency share: named circuits, a band that is known already."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from topic_cases import bars

from crosscurrent.casefile.case import checked_case
from crosscurrent.solver.band.sweep import sweep
from crosscurrent.topics import band


def test_a_table_that_names_no_circuit_means_the_only_one() -> None:
    case = checked_case(bars())
    assert band.named_circuits(case, ()) == ("feed",)
    assert band.named_circuits(case, ("other",)) == ("other",)


def test_a_sweep_that_reaches_as_far_is_used_again(monkeypatch: pytest.MonkeyPatch) -> None:
    known: Any = SimpleNamespace(frequency=np.array([10.0, 1e3]))
    solutions = {50.0: SimpleNamespace(problem="p")}
    solved: Any = SimpleNamespace(case=SimpleNamespace(accuracy=1e-3), sweep=known, solutions=solutions)
    asked: list[list[float]] = []
    monkeypatch.setattr(band, "sweep", lambda problem, frequencies, accuracy, matrix=False: asked.append(frequencies))
    assert band.band(solved, 10.0, 1e3) is known
    band.band(solved, 10.0, 1e4)
    assert (len(asked[0]), asked[0][0]) == (30, pytest.approx(10.0))  # ten a decade


def test_a_sweep_past_its_bound_is_told() -> None:
    """Beyond the band that its mesh was made for."""
    case = checked_case(bars())
    found = sweep(case.problem(), [50.0, 500.0])
    assert band.past_bound(found) == ()
    (text,) = band.past_bound(found.at([1e9]))
    assert "was not reached over the band" in text
