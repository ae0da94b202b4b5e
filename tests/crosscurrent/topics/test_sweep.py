"""A case file's sweep: one reduced model, every answer at every point, and what is drawn and written of it."""

from __future__ import annotations

import csv
import io
import json
from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from scipy.optimize import brentq
from scipy.special import iv, ivp

from crosscurrent import run
from crosscurrent import run_sweep as banded
from crosscurrent.api import case, circuit, conductor
from crosscurrent.evaluating import evaluator
from crosscurrent.postprocess import pictures
from crosscurrent.result import Result
from crosscurrent.run import solve_case, write_result
from crosscurrent.topics import cooling

MU0 = 4e-7 * np.pi
SWEEP = {"from": "50 Hz", "to": "1 MHz", "points": 16}


def made(*, sweep: dict[str, object] = SWEEP, rough: str | None = None, at: tuple[str, ...] = ()) -> object:
    rod = conductor("rod", "round", material="copper", diameter="10 mm", roughness=rough)
    other = conductor("back", "round", material="copper", diameter="10 mm", centre=("0 mm", "14 mm"), roughness=rough)
    feed = circuit("feed", "100 A", out=["rod"], back=["back"])
    return case("pair", [rod, other], [feed], sweep=sweep, at=at or None, length="2 m")


@cache
def solved() -> Result:
    return solve_case(made(at=("0 Hz", "1 kHz")))  # type: ignore[arg-type]


def wire_ratio(frequency: float, radius: float, sigma: float) -> float:
    """R over its direct-current value of a round wire (Kelvin 1889)."""
    p = np.sqrt(2j * np.pi * frequency * MU0 * sigma) * radius
    return float((p / 2 * iv(0, p) / ivp(0, p)).real)


def test_all_points_have_all_answers() -> None:
    result = solved()
    assert result.sweep is not None
    assert len(result.points) == 18
    for point in result.points:
        assert point.power_balance < 1e-10
        assert abs(point.impedance - point.impedance.T).max() < 1e-12 * abs(point.impedance).max()
        assert point.circuits["feed"].resistance_error is not None
        assert point.circuits["feed"].resistance_error <= 1e-3
        rod = point.conductors["rod"]
        assert rod.layers["copper"].loss_share == pytest.approx(1)
        assert rod.sentence
        assert rod.faces
        assert rod.peak_current_density >= rod.mean_current_density * (1 - 1e-9)
    # the go and return push each other apart
    assert result.points[-1].conductors["rod"].force[1] < 0 < result.points[-1].conductors["back"].force[1]


def test_a_sweep_agrees_with_single_solves() -> None:
    swept, single = solved(), solve_case(made(sweep=None, at=("50 Hz", "1 MHz")))  # type: ignore[arg-type]
    for f in (50.0, 1e6):
        one, other = swept.at(f).circuits["feed"], single.at(f).circuits["feed"]
        assert one.resistance
        assert other.resistance
        assert one.inductance
        assert other.inductance
        assert one.resistance_error is not None
        assert other.resistance_error is not None
        assert one.inductance_error is not None
        assert other.inductance_error is not None
        assert abs(one.resistance / other.resistance - 1) <= one.resistance_error + other.resistance_error
        assert abs(one.inductance / other.inductance - 1) <= one.inductance_error + other.inductance_error
        a, b = swept.at(f).conductors["rod"], single.at(f).conductors["rod"]
        assert abs(a.loss / b.loss - 1) <= a.loss_error + b.loss_error
        assert a.force[1] == pytest.approx(b.force[1], abs=a.force_error + b.force_error)
        assert a.peak_current_density == pytest.approx(b.peak_current_density, rel=2e-2)


def test_any_frequency_of_the_band_is_drawn_without_a_solve(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    result = solved()

    def never(*_: object, **__: object) -> None:
        raise AssertionError("solved again")

    monkeypatch.setattr(cooling, "solve", never)
    monkeypatch.setattr(banded, "sweep", never)
    drawn = result.draw(tmp_path, at=33e3)
    assert {p.name for p in drawn} >= {"current-density-33kHz.png", "flux-lines-33kHz.svg"}
    with pytest.raises(KeyError, match="lies in a sweep, found 3 MHz"):
        result.draw(tmp_path, at=3e6)


def test_many_conductors_are_known_by_circuits_and_it_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    assert not any("no impedance matrix" in text for text in solved().warnings)
    monkeypatch.setattr(banded, "EACH", 1)
    few = {"from": "10 kHz", "to": "1 MHz", "points": 2}
    result = solve_case(made(sweep=few, at=("50 Hz",)))  # type: ignore[arg-type]
    assert any("no impedance matrix" in text and "up to 1 conductors" in text for text in result.warnings)
    single, *swept = result.points
    assert np.isfinite(single.impedance).all()
    assert all(point.impedance is None for point in swept)
    assert np.isnan(result.to_xarray()["impedance_ohm_per_m"].values[1:]).all()


def test_rough_surfaces_are_solved_one_by_one() -> None:
    seen: list[float] = []
    few = {"from": "10 kHz", "to": "1 MHz", "points": 3}
    result = solve_case(made(sweep=few, rough="1 um"), progress=lambda _, done: seen.append(done))  # type: ignore[arg-type]
    assert result.sweep is None
    assert len(result.points) == 3
    assert not any("reached" in w or "rough" in w for w in result.warnings)
    assert seen == sorted(seen)
    chapter = next(c for c in result.chapters if c.key == "sweep")
    assert chapter.record["reduced_model"] is False
    assert "one by one" in chapter.sentences[-1]


def test_points_that_the_model_misses_are_solved_by_themselves(monkeypatch: pytest.MonkeyPatch) -> None:
    whole = solved().sweep
    assert whole is not None
    poor = replace(whole, wanted=1e-12)  # nothing is that good

    monkeypatch.setattr(run, "swept", lambda *_: poor)
    few = {"from": "50 Hz", "to": "1 MHz", "points": 2}
    result = solve_case(made(sweep=few))  # type: ignore[arg-type]
    assert len({p.unknowns for p in result.points}) == 2  # each with a mesh of its own
    assert not result.warnings


def test_the_corner_is_where_bessel_functions_put_it() -> None:
    rod = conductor("rod", "round", material="copper", diameter="10 mm")
    alone = case("rod", [rod], [circuit("feed", "100 A", out=["rod"])], sweep={**SWEEP, "points": 25})
    chapter = next(c for c in solve_case(alone).chapters if c.key == "sweep")
    exact = brentq(lambda f: wire_ratio(f, 0.005, 58e6) - np.sqrt(2), 100, 5e3)
    assert chapter.record["circuits"][0]["corner_hz"] == pytest.approx(exact, rel=2e-3)
    assert chapter.record["circuits"][0]["growth_exponent"] == pytest.approx(0.5, abs=0.01)


def test_what_is_written(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(pictures, "draw_pictures", lambda *_, **__: [])  # those of single frequencies
    result = solved()
    write_result(result, tmp_path / "out")
    document = json.loads((tmp_path / "out" / "results.json").read_text(encoding="utf-8"))
    assert len(document["points"]) == 18
    assert document["sweep"]["points"] == 16
    rows = list(csv.DictReader(io.StringIO((tmp_path / "out" / "sweep.csv").read_text(encoding="utf-8"))))
    assert len(rows) == 16
    at = result.at(float(rows[7]["frequency_hz"]))
    assert float(rows[7]["feed: resistance_ohm_per_m"]) == at.circuits["feed"].resistance
    assert float(rows[7]["back: loss_error"]) == at.conductors["back"].loss_error
    drawn = {p.name for p in (tmp_path / "out" / "pictures").iterdir()}
    assert {"sweep.png", "sweep.svg", "sweep-maps.png", "sweep-maps.svg"} <= drawn


def test_an_evaluator_answers_by_names() -> None:
    warm = evaluator(made(), temperatures=("20 degC", "100 degC")).evaluate("20 kHz", "80 degC")  # type: ignore[arg-type]
    assert warm.frequency == 20e3
    # the skin resistance goes with the root of the resistivity: 1 + 0.00393 x 60 (IEC 60028)
    cold = solved().sweep
    assert cold is not None
    ratio = warm.circuits["feed"].resistance / float(cold.at([20e3]).fine.resistance(cold.problem.circuits[0])[0])  # type: ignore[operator]
    assert ratio == pytest.approx(np.sqrt(1 + 0.00393 * 60), rel=0.01)


def test_bundles_are_swept_like_any_conductor() -> None:
    """One model for R, L, the network and the fault in time."""
    leads = [
        conductor(name, "bundle", material="copper", strands=420, strand_diameter="0.1 mm", centre=(x, "0 mm"))
        for name, x in (("lead", "-2 mm"), ("return", "2 mm"))
    ]
    feed = circuit("feed", "10 A", out=["lead"], back=["return"])
    fault = {"circuit": "feed", "form": "step", "current": "100 A", "duration": "1 ms"}
    result = solve_case(case("leads", leads, [feed], sweep=SWEEP | {"from": "1 kHz"}, fault=fault))
    assert result.sweep is not None
    told = {chapter.key: chapter for chapter in result.chapters}
    over = "feed: eddy currents, in the strands and in metal beside them, take over at "
    assert told["sweep"].sentences[0].startswith(over)
    assert "ladder.cir" in told["ladder"].files
    assert told["fault"].warnings == ()
    assert told["fault"].sentences
