"""Words of a fault: what limits refer to, metals that melt or are not known, steel."""

from __future__ import annotations

import math
from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import numpy as np
from topic_answers import wire

from crosscurrent.postprocess.topics.duty import Service
from crosscurrent.postprocess.topics.fault import FaultAnswer, measured, record, table, warnings
from crosscurrent.solver.field.problem import Circuit, Problem


def answer(after: float, metal: str = "copper", laid: float | None = None) -> FaultAnswer:
    """10 kA in one rod."""
    history: Any = SimpleNamespace(
        error=0.01, force_error=0.02, hot_spots=(np.array([1.1]), np.zeros((1, 2))), drive=np.array([[14e3], [0.0]])
    )
    fault: Any = SimpleNamespace(
        circuits=("feed",), histories=(history,), worst=history, worst_angle=-math.pi / 2, frequency=50.0,
        peak_force=np.array([500.0]), peak_current=np.array([14e3]), peak_drive=np.array([14e3]),
        energy=np.array([2e3]), steady_energy=np.array([1e3]), steady_force=np.array([100.0]),
        joule_integral=np.array([1e8]),
    )  # fmt: skip
    problem = Problem((wire("rod", metal),), (Circuit("feed", 1.0, ("rod",)),))
    before = Service(np.array([50.0]), np.array([3.0]), "as stated")
    return FaultAnswer(problem, fault, before, [after], [laid or after], "offset", 10e3, 50.0, 0.04, 0.1)


def test_what_limits_refer_to() -> None:
    found = measured(answer(150.0))
    (force,), (energy,), (temperature,) = (found[f"fault_{key}"] for key in ("force", "energy", "temperature"))
    assert (force.value, force.error, force.of) == (500.0, 10.0, "rod")
    assert (energy.value, energy.error) == (2000.0, 20.0)
    # 3 K of the start, 5 % of the rise for what is bought, 1 % for the heat
    assert (temperature.value, temperature.error) == (150.0, 3 + 0.06 * 100)


def test_as_groups_of_strands_are_laid_it_gets_hotter() -> None:
    """Limits and metals count that; a metal that may melt so is warned of."""
    found = answer(900.0, laid=1070.0)
    assert found.temperatures[0].above == 170.0
    (warning,) = warnings(found)
    assert warning.endswith("(it reaches 900.0 degC (after [fault]), +- 54 K, as bundles are laid up to 170 K more)")
    assert answer(900.0, laid=math.inf).temperatures[0].highest == math.inf
    assert not answer(900.0).temperatures[0].above


def test_metal_that_melts_or_is_not_known() -> None:
    melted, unknown = (measured(answer(t))["fault_temperature"][0] for t in (math.inf, math.nan))
    assert melted.endless
    assert not unknown.known
    assert not unknown.endless
    assert [table(answer(t)).rows[0][-1] for t in (math.inf, math.nan)] == ["melts", "-"]
    assert record(answer(math.inf))["conductors"]["rod"]["temperature_after_degc"] is None


def test_steel_saturates() -> None:
    said = list(warnings(answer(150.0, "steel")))
    assert any("that rod takes and causes" in text for text in said)
    assert record(answer(150.0))["making_angle_deg"] == -90


def test_a_sweep_that_fell_short_is_told() -> None:
    assert "sweep fell short" in list(warnings(replace(answer(50.0), past_bound=("sweep fell short",))))
