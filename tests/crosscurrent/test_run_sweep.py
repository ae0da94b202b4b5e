"""The sweep of a case: by one reduced model where one can serve it, frequency by frequency elsewhere."""

from __future__ import annotations

import logging
from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import pytest
from topic_cases import two_rods

from crosscurrent import run_sweep
from crosscurrent.casefile.case import Case, checked_case
from crosscurrent.casefile.tables.cooling import CoolingTable
from crosscurrent.casefile.tables.frequency import FrequencyTable
from crosscurrent.geometries.errors import GeometryFault, MeshError
from crosscurrent.run_sweep import left_out, served, swept
from crosscurrent.solver.band.krylov import SweepError

SWEEP = {"sweep": {"from": "1 kHz", "to": "100 kHz", "points": 3}}


def rods(**more: Any) -> Case:
    return checked_case(two_rods(frequency=SWEEP, **more))


@pytest.fixture
def asked(monkeypatch: pytest.MonkeyPatch) -> list[dict[str, Any]]:
    """What the solver was asked for; it answers "swept"."""
    found: list[dict[str, Any]] = []

    def sweep(problem: object, frequencies: object, **more: Any) -> str:
        found.append({"problem": problem, "frequencies": frequencies, **more})
        return "swept"

    monkeypatch.setattr(run_sweep, "sweep", sweep)
    return found


def test_a_sweep_is_handed_to_the_band(asked: list[dict[str, Any]]) -> None:
    case = rods(accuracy={"resistance": "0.5 %"})
    assert swept(case) == "swept"  # type: ignore[comparison-overlap]
    (one,) = asked
    assert one["problem"] is case.problem()
    assert one["frequencies"] == pytest.approx((1e3, 1e4, 1e5))
    assert (one["accuracy"], one["matrix"]) == (0.005, True)


def test_many_conductors_have_no_impedance_matrix(asked: list[dict[str, Any]], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(run_sweep, "EACH", 1)
    swept(rods())
    assert asked[0]["matrix"] is False


@pytest.mark.parametrize(
    "tables",
    [{"frequency": FrequencyTable.model_validate({"at": ["1 kHz"]})}, {"cooling": CoolingTable()}, {"water": ("x",)}],
    ids=("no sweep", "cooling", "water"),
)
def test_the_band_is_not_asked_where_it_cannot_serve(asked: list[dict[str, Any]], tables: dict[str, Any]) -> None:
    """Without a sweep, and where temperatures follow the losses."""
    case = rods()
    assert swept(replace(case, data=case.data.model_copy(update=tables))) is None
    assert asked == []


def test_that_temperatures_follow_the_losses_is_told_before_it_takes_long(caplog: pytest.LogCaptureFixture) -> None:
    with caplog.at_level(logging.INFO, logger="crosscurrent"):
        assert swept(rods(cooling={})) is None
    assert "frequency by frequency, 3 of them: temperatures follow the losses" in caplog.text


def test_rough_surfaces_fall_back_and_the_log_says_why(caplog: pytest.LogCaptureFixture) -> None:
    with caplog.at_level(logging.INFO, logger="crosscurrent"):
        assert swept(rods(rod={"roughness": "1 um"})) is None
    assert "solved frequency by frequency" in caplog.text
    assert "smooth surfaces" in caplog.text


@pytest.mark.parametrize("error", [SweepError("too wide"), MeshError(GeometryFault("it is too fine", ""))])
def test_a_band_that_cannot_be_is_solved_frequency_by_frequency(
    monkeypatch: pytest.MonkeyPatch, error: Exception
) -> None:
    def fail(*_: object, **__: object) -> None:
        raise error

    monkeypatch.setattr(run_sweep, "sweep", fail)
    assert swept(rods()) is None


def test_other_faults_are_not_hidden(monkeypatch: pytest.MonkeyPatch) -> None:
    def fail(*_: object, **__: object) -> None:
        raise ZeroDivisionError

    monkeypatch.setattr(run_sweep, "sweep", fail)
    with pytest.raises(ZeroDivisionError):
        swept(rods())


def fake(matrix: bool) -> Any:
    """A sweep over three frequencies, the second of which is not known well enough."""
    return SimpleNamespace(
        fine=SimpleNamespace(model=SimpleNamespace(ports=SimpleNamespace(matrix=matrix))),
        problem=SimpleNamespace(conductors=("a", "b")),
        frequency=(1.0, 2.0, 3.0), bounds=(0.5, 2.0, 1.0), wanted=1.0,
    )  # fmt: skip


def test_what_a_sweep_leaves_out_is_said() -> None:
    assert left_out(None) == left_out(fake(True)) == ()
    (text,) = left_out(fake(False))
    assert text.startswith("the sweep knows its 2 conductors by circuits")
    assert f"up to {run_sweep.EACH} conductors" in text


def test_only_frequencies_known_well_enough_are_served() -> None:
    assert served(None) == {}
    assert served(fake(True)) == {1.0: 0, 3.0: 2}
