"""The band of losses over an uncertain permeability: what is solved for, and for which metals."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from topic_answers import wire

from crosscurrent.solver.field import permeability
from crosscurrent.solver.field.problem import Problem


def solution(*metals: str) -> Any:
    problem = Problem(tuple(wire(f"{name}-{k}", name) for k, name in enumerate(metals)), ())
    powers = np.arange(1.0, len(metals) + 1) + 0j
    return SimpleNamespace(problem=problem, frequency=50.0, fine=SimpleNamespace(powers=powers))


def test_there_is_none_without_strongly_magnetic_metal() -> None:
    assert permeability.permeability_band(solution("copper", "stainless-304"), 10.0, 100.0, accuracy=1e-3) is None


def test_only_magnetic_metals_are_changed(monkeypatch: pytest.MonkeyPatch) -> None:
    """10 to 1000 in three steps of the same ratio; the stub loses as much as the sum of the permeabilities."""

    def stub(problem: Problem, frequency: float, *, accuracy: float) -> Any:
        assert (frequency, accuracy) == (50.0, 1e-3)
        lost = np.array([c.material.permeability for c in problem.conductors]) + 0j
        return SimpleNamespace(fine=SimpleNamespace(powers=lost))

    monkeypatch.setattr(permeability, "solve", stub)
    band = permeability.permeability_band(solution("copper", "steel"), 10.0, 1000.0, accuracy=1e-3)
    assert band is not None
    assert band.tried == pytest.approx([10, 100, 1000])
    assert band.magnetic == ["steel-1"]
    assert band.losses[:, 0].tolist() == [1, 1, 1]
    assert band.losses[:, 1] == pytest.approx([10, 100, 1000])
    assert band.stated.tolist() == [1, 2]
