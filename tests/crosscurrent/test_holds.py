"""A result is data: reading it solves nothing, and it keeps nothing else alive."""

from __future__ import annotations

import gc
import inspect
import weakref
from pathlib import Path

import pytest

import crosscurrent as cc
from crosscurrent.geometries.errors import RunStopped
from crosscurrent.geometries.fixed import Fixed
from crosscurrent.solver.field import solve as solving


def bars(**tables: object) -> cc.Case:
    made = [
        cc.bar(name, material="copper", width="20 mm", thickness="3 mm", centre=("0 mm", y))
        for name, y in (("out", "3 mm"), ("back", "-3 mm"))
    ]
    circuit = cc.circuit("feed", "100 A", out=["out"], back=["back"])
    return cc.case("bars", made, circuit, at=["50 Hz", "5 kHz"], **tables)


def test_no_property_solves(monkeypatch: pytest.MonkeyPatch) -> None:
    result = cc.solve(bars(limits={"loss": "1 W/m"}, voltage={}, cooling={}))
    assert any("what would help" in text for text in result.chapter("limits").sentences)

    def never(*_: object, **__: object) -> None:
        raise AssertionError("a property solved")

    for name in ("mesh_section", "solve_fields", "Discretisation"):
        monkeypatch.setattr(solving, name, never)
    for name, member in inspect.getmembers(type(result)):
        if isinstance(member, property):
            assert getattr(result, name) is not None, name
    assert [point.frequency for point in result] == [50.0, 5e3]
    assert result.at("5 kHz") is result.points[1]
    assert result.solution_at("50 Hz").frequency == 50.0


def test_a_finished_result_keeps_no_other_alive() -> None:
    result = cc.solve(bars(voltage={}))
    left = [weakref.ref(result), weakref.ref(result.solutions[50.0].fine.discretisation.mesh)]
    other = cc.solve(bars())
    del result
    gc.collect()
    assert [ref() for ref in left] == [None, None]
    assert other["feed"].loss > 0


def test_progress_rises_and_names_what_is_done() -> None:
    told: list[tuple[str, float]] = []
    made = bars(voltage={}, cooling={}, limits={"temperature_bare": "21 degC"})
    cc.solve(made, progress=lambda *step: told.append(step))
    done = [share for _, share in told]
    assert done == sorted(done)
    assert 0 <= done[0] <= done[-1] <= 1
    words = " ".join(what for what, _ in told)
    assert all(part in words for part in ("5 kHz", "voltage", "changed case"))


@pytest.mark.parametrize("at", [1, 3, 8])
def test_a_run_stops_where_it_is_asked_to(at: int, tmp_path: Path) -> None:
    case = bars(limits={"loss": "1 W/m"})
    file = tmp_path / "bars.toml"
    file.write_bytes(case.source)
    asked = iter(range(1000))
    with pytest.raises(RunStopped, match="stopped at"):
        cc.run_case(file, None, stop=lambda: next(asked) >= at)
    assert [path.name for path in tmp_path.iterdir()] == ["bars.toml"]


def test_mappings_of_a_result_cannot_be_changed() -> None:
    result = cc.solve(bars())
    for mapping in (result.circuits, result.conductors, result.solutions, result["out"].layers):  # type: ignore[union-attr]
        assert isinstance(mapping, Fixed)
        with pytest.raises(TypeError):
            mapping["x"] = 1  # type: ignore[index]


def test_everything_says_itself_in_a_line() -> None:
    result = cc.solve(bars())
    solution = result.solutions[50.0]
    for thing in (result, result.case, result.points[0], solution, solution.problem, solution.fine.discretisation.mesh):
        assert len(repr(thing)) < 120
        assert "\n" not in repr(thing)
