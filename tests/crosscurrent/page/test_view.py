"""What a board is shown."""

from pathlib import Path

import numpy as np
import pytest

from crosscurrent.casefile.case import Case
from crosscurrent.casefile.faults import CaseError
from crosscurrent.casefile.reader import case_of, read_case
from crosscurrent.page import view
from crosscurrent.solver.field.following import follow
from crosscurrent.solver.field.solve import solve


@pytest.fixture(scope="module")
def tubes() -> Case:
    return read_case("cases/water-cooled-feed.toml")


def test_the_scene_holds_every_part_with_its_row(tubes: Case) -> None:
    found = view.scene(tubes)
    assert [(p["name"], p["row"], p["way"]) for p in found["parts"]] == [("tube.1", 0, "out"), ("tube.2", 0, "back")]
    assert [len(p["outlines"]) for p in found["parts"]] == [2, 2]
    outer = np.array(found["parts"][0]["outlines"][0]).reshape(-1, 2)
    middle = tubes.problem().conductors[0].part.bounds.mean(axis=0)
    np.testing.assert_allclose(np.hypot(*(outer - middle).T), 0.008, rtol=1e-6)
    assert found["gaps"][0]["gap"] == pytest.approx(7.99e-3)


def test_figures_of_a_quick_solve(tubes: Case) -> None:
    figures = view.followed(follow(tubes.problem(), 85e3))
    loss = sum(c["loss"] for c in figures["conductors"])
    feed = figures["circuits"][0]
    assert feed["resistance"] * feed["current"] ** 2 == pytest.approx(loss, rel=1e-9)  # R I^2 is all the loss


def test_settled_figures_have_bars_and_sentences(tubes: Case) -> None:
    found = view.settled(tubes, solve(tubes.problem(), 85e3))
    assert 0 < found["circuits"][0]["resistance_error"] < 1e-3
    assert found["sentences"][0].startswith("tube.1: ")
    # rings of copper of 8890 kg/m3 and of silver of 10490 kg/m3 (CRC), by hand
    one = np.pi * (8890 * (0.008**2 - 0.0065**2) + 10490 * (0.008005**2 - 0.008**2))
    assert found["mass"] == pytest.approx(2 * one, rel=1e-5)


def test_faults_keep_their_lines_and_words() -> None:
    text = Path("cases/feed-facing.toml").read_text(encoding="utf-8")
    text = text.replace('thickness = "6 mm"', 'thickness = "6 kHz"', 1)
    with pytest.raises(CaseError) as caught:
        case_of(text.encode(), Path("feed.toml"))
    (fault,) = view.faults(caught.value)
    assert fault["key"] == "thickness"
    assert fault["place"] == 'conductor "outgoing"'
    assert fault["line"] == 1 + text.splitlines().index('thickness = "6 kHz"')
    assert "(a frequency)" in fault["what"]
    assert fault["where"] == 'conductor "outgoing", thickness'


def test_tables_of_a_text_that_is_none() -> None:
    assert view.tables("x = ") == {}
    assert view.tables('a = 1\n[b]\nc = ["x", 2.5, true]') == {"a": 1, "b": {"c": ["x", 2.5, True]}}


@pytest.mark.parametrize(
    ("low", "expected", "lines"),
    [
        ((0.0102, 0.0003), (-0.0002, -0.0003), 2),  # beside, and level
        ((0.0401, 0.0), (-0.0001, 0.0), 1),  # the grid across, level along
        ((0.0500, 0.0500), (0.0, 0.0), 0),
    ],
)
def test_snapping(low: tuple[float, float], expected: tuple[float, float], lines: int) -> None:
    box = ((0.0, 0.0), (0.01, 0.01))
    high = (low[0] + 0.01, low[1] + 0.01)
    by, found = view.snapped(low, high, [box], 4e-4, 1e-3)
    assert by == pytest.approx(expected, abs=1e-9)
    assert len(found) == lines


def test_equal_gaps_attract() -> None:
    others = [((0.0, 0.0), (0.01, 0.01)), ((0.013, 0.0), (0.02, 0.01))]  # 3 mm apart
    by, _ = view.snapped((0.0231, 0.2), (0.03, 0.21), others, 3e-4, 0.0)
    assert by[0] == pytest.approx(-1e-4)


def test_coupled_circuits_have_the_resistance_of_their_own_conductors() -> None:
    case = read_case("cases/switchboard-three-phase.toml")
    problem = case.problem()
    quick = view.followed(follow(problem, 50.0))["circuits"]
    whole = view.settled(case, solve(problem, 50.0))["circuits"]
    for one, other in zip(quick, whole, strict=True):
        assert one["own"]
        assert other["own"]
        assert 0 < one["resistance"] == pytest.approx(other["resistance"], rel=0.01)


def test_a_section_at_fault_is_drawn_where_its_conductors_stand() -> None:
    text = Path("cases/feed-facing.toml").read_text(encoding="utf-8").replace('"3.5 mm"', '"0 mm"')
    found = view.sketch(text, Path())
    assert found is not None
    assert [(p["name"], p["row"], p["way"]) for p in found["parts"]] == [("outgoing", 0, "out"), ("return", 1, "back")]
    np.testing.assert_allclose(found["bounds"], [[-0.05, -0.0065], [0.05, 0.003]], atol=1e-9)
    assert view.sketch(text.replace("100 mm", "100"), Path()) is None
    assert view.sketch("x = ", Path()) is None


def test_where_a_current_returns_that_nothing_takes_back() -> None:
    rod = read_case("cases/rod-100khz.toml")
    for found in (view.followed(follow(rod.problem(), 1e5)), view.settled(rod, solve(rod.problem(), 1e5))):
        circuit = found["circuits"][0]
        # outside mu0 / (2 pi) ln(circle / rod); inside, where the skin is thin, as much reactance as resistance
        inside = circuit["inductance"] - 2e-7 * np.log(found["around"] / 12.5e-3)
        assert 2e5 * np.pi * inside == pytest.approx(circuit["resistance"], rel=0.03)


def test_a_pair_returns_in_itself(tubes: Case) -> None:
    assert view.followed(follow(tubes.problem(), 85e3))["around"] is None
