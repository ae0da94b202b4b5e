"""A case at any frequency and temperature: what is asked of the band, in which units, and over which range."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest
from topic_cases import two_rods

from crosscurrent import evaluating
from crosscurrent.casefile.case import Case, checked_case
from crosscurrent.casefile.quantities import QuantityError
from crosscurrent.evaluating import CaseEvaluator, evaluator
from crosscurrent.solver.band.krylov import SweepError


@pytest.fixture
def asked(monkeypatch: pytest.MonkeyPatch) -> list[Any]:
    """The band and the temperatures that were asked for."""
    found: list[Any] = []

    def prepared(problem: object, band: object, ends: object, **_: Any) -> str:
        found.append((problem, band, ends))
        return "models"

    monkeypatch.setattr(evaluating, "prepared", prepared)
    return found


def rods(*at: str, **more: Any) -> Case:
    return checked_case(two_rods(frequency={"at": at}, **more))


@pytest.mark.parametrize(
    ("at", "band"),
    [(("0 Hz", "50 Hz", "5 kHz"), (50.0, 5e3)), (("1 kHz",), (1e3, 1e3)), (("0 Hz",), (1.0, 1.0))],
)
def test_the_frequencies_of_the_case_above_zero(
    asked: list[Any], at: tuple[str, ...], band: tuple[float, float]
) -> None:
    case = rods(*at)
    assert evaluator(case).case is case
    assert asked == [(case.problem(), band, (0.0, 120.0))]


def test_stated_ranges(asked: list[Any]) -> None:
    evaluator(rods("1 kHz"), frequencies=("50 Hz", "2 MHz"), temperatures=("-40 degC", "212 degF"))
    ((_, band, ends),) = asked
    assert band == (50.0, 2e6)
    assert ends == pytest.approx((-40.0, 100.0))


@pytest.mark.parametrize("more", [{"frequencies": ("50", "1 kHz")}, {"temperatures": ("20 degC", "50 Hz")}])
def test_a_range_in_other_words(more: dict[str, Any]) -> None:
    with pytest.raises(QuantityError):
        evaluator(rods("1 kHz"), **more)


def test_rough_surfaces_are_refused() -> None:
    with pytest.raises(SweepError, match="smooth surfaces"):
        evaluator(rods("1 kHz", rod={"roughness": "1 um"}))


def test_text_with_a_unit_or_numbers(monkeypatch: pytest.MonkeyPatch) -> None:
    points: list[tuple[float, float]] = []

    def evaluate(frequency: float, temperature: float) -> Any:
        points.append((frequency, temperature))
        return SimpleNamespace(solution=lambda number: f"solution {number}")

    monkeypatch.setattr(evaluating, "answers", lambda solution: f"answers of {solution}")
    models: Any = SimpleNamespace(evaluate=evaluate)
    ready = CaseEvaluator(rods("1 kHz"), models)
    assert ready.evaluate("85 kHz", "70 degC") == "answers of solution 0"  # type: ignore[comparison-overlap]
    ready.evaluate(85e3, 70)
    assert points == [(85e3, 70.0), (85e3, 70.0)]
    with pytest.raises(QuantityError):
        ready.evaluate("70 degC", "70 degC")
