"""The chapter "work_pieces": efficiency, power factor and a wanted power, of whole cases."""

from __future__ import annotations

import math

import numpy as np
import pytest
from topic_cases import chapter

from crosscurrent.casefile.case import checked_case
from crosscurrent.casefile.faults import CaseError
from crosscurrent.postprocess.answers.axial_names import axial_names, plane_names
from crosscurrent.postprocess.answers.cautions import INDUCTION, PULL
from crosscurrent.postprocess.files.summary import read_summary, summary_record
from crosscurrent.postprocess.topics.work_pieces import most_of_it
from crosscurrent.result import Result
from crosscurrent.run import solve_case
from crosscurrent.solver.field.pieces import PiecePower
from crosscurrent.topics.limits_slopes import has_slope

TURN = {
    "name": "turn", "shape": "round", "diameter": "5 mm", "material": "copper", "centre": ["20 mm", "-7 mm"],
    "repeat": {"count": 3, "step": ["0 mm", "7 mm"]},
}  # fmt: skip
BILLET = {"name": "billet", "shape": "bar", "width": "20 mm", "thickness": "40 mm", "material": "brass"}
STEEL = {"conductivity": "5 MS/m", "initial_permeability": 200, "saturation": "1.8 T"}


def written(**more: object) -> dict[str, object]:
    return {
        "symmetry": "axial",
        "frequency": {"at": ["20 kHz"]},
        "conductor": [TURN, BILLET],
        "coil": [{"name": "work", "turns": ["turn.*"], "current": "100 A"}],
    } | more


@pytest.fixture(scope="module")
def stated() -> Result:
    return solve_case(checked_case(written()))


def test_efficiency_and_power_factor_are_those_of_the_answers(stated: Result) -> None:
    (point,) = chapter(stated, "work_pieces").record["points"]
    answer = stated.points[0]
    assert point["efficiency"] == pytest.approx(answer.conductors["billet"].loss / answer.total_loss)
    assert 0 < point["efficiency_error"] < 1e-2
    coil = answer.circuits["work"]
    factor = coil.resistance / math.hypot(coil.resistance, coil.reactance)
    assert point["terminals"][0]["power_factor"] == pytest.approx(factor)
    assert point["pieces"][0]["total_power_w"] == pytest.approx(answer.conductors["billet"].loss)
    assert INDUCTION in stated.cautions
    assert PULL not in stated.cautions


def test_a_wanted_power_is_met_by_all_figures(stated: Result) -> None:
    result = solve_case(checked_case(written(power={"wanted": "2 kW", "into": ["billet"]})))
    before, now = stated.points[0], result.points[0]
    assert now.conductors["billet"].loss == pytest.approx(2000.0, rel=1e-9)
    factor = math.sqrt(2000.0 / before.conductors["billet"].loss)
    assert abs(now.circuits["work"].current) == pytest.approx(100.0 * factor, rel=1e-9)
    assert now.circuits["work"].resistance == pytest.approx(before.circuits["work"].resistance, rel=1e-9)
    assert result.summary.circuits[0].size == pytest.approx(100.0 * factor)
    assert result.summary.lines[3].startswith("Work pieces: 2.000 kW +- ")
    assert " into billet at 20 kHz, efficiency " in result.summary.lines[3]
    assert result.summary.heated is not None
    assert result.summary.heated.efficiency == pytest.approx(2000.0 / now.total_loss)
    assert read_summary(plane_names(axial_names(summary_record(result.summary)))) == result.summary
    assert "2.000 kW into billet" in chapter(result, "work_pieces").sentences[0]


def test_the_search_for_a_power_shows_its_progress() -> None:
    """It stood at 0 % until the currents were found; it never goes back, and says what the solves are for."""
    steps: list[tuple[str, float]] = []
    table = written(power={"wanted": "2 kW"}, accuracy={"resistance": "2 %"}, conductor=[
        TURN, BILLET | {"material": "st"}], material={"st": STEEL})  # fmt: skip
    solve_case(checked_case(table), progress=lambda what, done: steps.append((what, done)))
    done = [share for _, share in steps]
    search = [share for what, share in steps if what.startswith("power: 20 kHz: ")]
    assert len(set(search)) > 3
    assert 0.2 < max(search) < 0.5
    assert done == sorted(done)


def test_a_wanted_power_in_steel_is_searched_for() -> None:
    piece = BILLET | {"material": "steel"}
    table = {"wanted": "3 kW"}
    result = solve_case(checked_case(written(conductor=[TURN, piece], material={"steel": STEEL}, power=table)))
    assert result.points[0].conductors["billet"].loss == pytest.approx(3000.0, rel=1e-3)
    assert PULL in result.cautions


def test_a_limit_that_no_current_meets_is_said() -> None:
    table = {"power": {"wanted": "20 kW"}, "limits": {"current": "300 A", "voltage": "1 kV"}}
    result = solve_case(checked_case(written(**table)))
    assert result.summary.verdict == "fail"
    (said,) = chapter(result, "work_pieces").warnings
    assert "no current within the limit of 300.0 A brings 20.00 kW" in said
    verdicts = {(v["limit"], v["verdict"]) for v in chapter(result, "limits").record["limits"]}
    assert ("current", "fail") in verdicts
    assert ("voltage", "pass") in verdicts


@pytest.mark.parametrize(
    ("more", "message"),
    [
        ({"power": {"wanted": "2 kW", "into": ["turn.1"]}}, "a piece in no circuit or coil"),
        ({"power": {"wanted": "2 kW", "into": ["bilet"]}}, "billet"),
        ({"power": {"wanted": "2 kW"}, "frequency": {"at": ["1 kHz", "2 kHz"]}}, "one frequency"),
        ({"power": {"wanted": "2 kW"}, "frequency": {"at": ["0 Hz"]}}, "above 0 Hz"),
        ({"power": {"wanted": "2 kW"}, "conductor": [TURN]}, "a piece in no circuit or coil that takes it"),
        ({"tank": {"coil": "wrk"}}, "work"),
        ({"limits": {"loss": "2 kW/m"}}, 'a power with a unit such as "5 kW"'),
        ({"limits": {"voltage_drop": "2 V"}}, "a plane section"),
        ({"power": {"wanted": "5 kW/m"}}, "a power"),
    ],
)
def test_faults(more: dict[str, object], message: str) -> None:
    with pytest.raises(CaseError, match=message):
        checked_case(written(**more))


def test_waste_is_limited_and_told_in_per_cent() -> None:
    result = solve_case(checked_case(written(limits={"waste": "1 %"})))
    (row,) = chapter(result, "limits").record["limits"]
    answer = result.points[0]
    share = 1 - answer.conductors["billet"].loss / answer.total_loss
    assert row["verdict"] == "fail"
    assert row["value"] == pytest.approx(share, rel=1e-9)
    assert f"{100 * share:.1f} %" in " ".join(result.summary.lines)


def test_losses_have_slopes_at_stated_currents_and_at_a_wanted_power() -> None:
    scaled = checked_case(written(power={"wanted": "1 kW"})).data
    given = checked_case(written()).data
    assert [has_slope(limit, scaled) for limit in ("loss", "force", "inductance")] == [True, False, True]
    assert [has_slope(limit, given) for limit in ("loss", "force", "inductance")] == [True, False, True]


def along(profile: np.ndarray) -> PiecePower:
    """A piece of 60 mm with a profile over its 60 stations."""
    place = 1e-3 * (np.arange(60) - 29.5)
    rest = np.zeros(1)
    return PiecePower(float(profile.sum()), 1.0, 1.0, 1.0, (1e-3, 2e-3), 1.0, 1.0, place, True, profile, rest, rest)


PLACE = np.arange(60) - 29.5
NOISE = np.random.default_rng(17).normal(size=60)


@pytest.mark.parametrize(
    ("profile", "found"),
    [
        (1 - (PLACE / 30) ** 2, [0.0]),  # a hump about the middle
        (1 - ((PLACE - 10.5) / 60) ** 2, [0.0105]),
        (1 + (PLACE / 30) ** 4, [-0.0295, 0.0295]),  # at both ends
        (np.ones(60), []),
        (1 + 4e-3 * NOISE, []),  # even but for scatter
        (1 + 1e-3 * np.cos(PLACE), []),
    ],
)
def test_most_of_it_is_told_where_it_is_more_than_scatter(profile: np.ndarray, found: list[float]) -> None:
    assert most_of_it(along(profile)) == pytest.approx(found, abs=1e-9)


def test_most_of_the_power_in_a_symmetric_section_is_in_the_middle(stated: Result) -> None:
    (said,) = (s for s in chapter(stated, "work_pieces").sentences if "arises within" in s)
    assert "; most of it near z = 0; H " in said
