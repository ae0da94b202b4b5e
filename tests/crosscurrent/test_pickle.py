"""Cases, problems, solutions and results travel to another process and come back the same."""

from __future__ import annotations

import multiprocessing
import pickle
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

import pytest

import crosscurrent as cc


def rod(diameter: int) -> cc.Case:
    made = cc.round("rod", material="copper", diameter=f"{diameter} mm")
    return cc.case(f"rod of {diameter} mm", made, cc.circuit("feed", "10 A", out=["rod"]), at=["5 kHz"])


@pytest.fixture(scope="module")
def full() -> cc.Result:
    """Two bars with what one case can ask at once."""
    bars = [
        cc.bar(name, material="copper", width="20 mm", thickness="3 mm", centre=("0 mm", y))
        for name, y in (("out", "5 mm"), ("back", "-5 mm"))
    ]
    return cc.solve(
        cc.case(
            "all questions", bars, cc.circuit("feed", "100 A", out=["out"], back=["back"]),
            at=["50 Hz"], sweep={"from": "50 Hz", "to": "5 kHz", "points": 3}, length="2 m",
            cooling={"finish": "dull"}, duty={"name": "boats", "on": "60 s", "off": "60 s", "current": "120 A"},
            voltage={"quality": 10}, supports={"fault_current": "1 kA", "peak_factor": 1.8},
            field={"points": [{"name": "walkway", "at": ["0 mm", "100 mm"]}]},
            joint={"name": "bolted", "circuit": "feed", "resistance": "3 uohm"}, prices={"copper": "9 EUR/kg"},
            waveform={"frequency": "50 Hz", "harmonics": [{"order": k, "current": f"{90 / k} A"} for k in (1, 3)]},
            fault={"current": "1 kA", "frequency": "50 Hz", "x_over_r": 5, "duration": "50 ms"},
            ladder={"bound": "2 %", "from": "50 Hz", "to": "5 kHz"},
        )
    )  # fmt: skip


def test_everything_of_a_run_pickles_and_comes_back_equal(full: cc.Result) -> None:
    solution = full.solutions[50.0]
    for thing in (full.case, full.case.problem(), solution, full.points, full.chapters, full):
        again = pickle.loads(pickle.dumps(thing))
        assert again == thing
        assert again is not thing


def test_what_differs_is_not_equal(full: cc.Result) -> None:
    other = cc.solve(rod(10))
    assert other != full
    assert other == cc.solve(rod(10))
    assert other.case != rod(11)
    assert other.points[0] != full.points[0]


def test_a_result_read_from_a_pickle_draws_and_writes(full: cc.Result, tmp_path: Path) -> None:
    again = pickle.loads(pickle.dumps(full))
    for name in ("phase", "ladder"):
        assert again.picture(name).png == full.picture(name).png
    small = cc.solve(rod(10))
    folder = pickle.loads(pickle.dumps(small)).write(tmp_path / "rod")
    assert cc.Result.read(folder).points == small.points


@pytest.mark.parametrize("method", ["spawn", "fork"])
def test_a_pool_of_processes_solves_ten_cases_and_returns_whole_results(method: str) -> None:
    if method not in multiprocessing.get_all_start_methods():
        pytest.skip(f"this system has no {method}")
    cases = [rod(diameter) for diameter in range(4, 14)]
    with ProcessPoolExecutor(2, mp_context=multiprocessing.get_context(method)) as pool:
        found = list(pool.map(cc.solve, cases))
    assert [result.case for result in found] == cases
    assert found[3] == cc.solve(cases[3])
    losses = [result["feed"].loss for result in found]  # type: ignore[union-attr]
    assert sorted(losses, reverse=True) == losses  # thicker rods lose less
