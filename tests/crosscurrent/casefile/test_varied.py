"""The same case with other values."""

from __future__ import annotations

from pathlib import Path

import pytest
from varied_case import CASE

from crosscurrent.casefile.case import Case
from crosscurrent.casefile.faults import CaseError
from crosscurrent.casefile.reader import read_case
from crosscurrent.casefile.variables import variables
from crosscurrent.casefile.varied import varied

SHIPPED = sorted((Path(__file__).parents[3] / "cases").glob("*.toml"))


@pytest.fixture
def case(tmp_path: Path) -> Case:
    (tmp_path / "feed.toml").write_text(CASE)
    return read_case(tmp_path / "feed.toml")


def test_what_follows_from_a_value_follows(case: Case) -> None:
    wider = varied(case, {"gap": 0.005, "thick": 0.004})
    above, below = (c.part.bounds for c in wider.problem().conductors)
    assert above[0, 1] - below[1, 1] == pytest.approx(0.005 + 10e-6, abs=1e-11)  # the coat above stands in the gap
    assert above[1, 1] - above[0, 1] == pytest.approx(0.004, abs=1e-12)


def test_tolerances_stay_behind_their_figures(case: Case) -> None:
    other = varied(case, {"gap": 0.005, "outgoing.temperature": 80.0, "mine.conductivity": 40e6})
    found = {one.key: (one.value, one.tolerance) for one in variables(other)}
    assert found["gap"] == (0.005, 0.2e-3)
    assert found["outgoing.temperature"] == (80.0, 5.0)
    assert found["mine.conductivity"] == (40e6, pytest.approx(0.8e6))  # as it was said, in per cent
    (gap,) = (one for one in variables(varied(case, {"gap": "4 mm"})) if one.key == "gap")
    assert gap.tolerance == 0


def test_a_metal_by_name_and_a_built_in_one_by_its_figure(case: Case) -> None:
    assert varied(case, {"metal": "aluminium-1350"}).problem().conductors[0].material.name == "aluminium-1350"
    copper = varied(case, {"copper.conductivity": 55e6}).problem().conductors[0].material
    before = case.problem().conductors[0].material
    assert copper.conductivity == 55e6
    assert (copper.temperature_coefficient, copper.density) == (before.temperature_coefficient, before.density)


def test_values_as_a_case_file_says_them(case: Case) -> None:
    assert varied(case, {"outgoing.width": "4 in"}).data.conductor[0].width == pytest.approx(0.1016)  # type: ignore[attr-defined]


def test_files_beside_the_case_are_still_found() -> None:
    drawn = read_case(next(path for path in SHIPPED if path.stem == "clamp-profile"))
    first = variables(drawn)[0]
    assert len(varied(drawn, {first.key: first.value}).problem().conductors) == len(drawn.problem().conductors)


@pytest.mark.parametrize("path", SHIPPED[::4], ids=lambda path: path.stem)
def test_every_figure_at_its_own_value_changes_nothing(path: Path) -> None:
    case = read_case(path)
    same = varied(case, {one.key: one.value for one in variables(case) if one.path[0] != "material"})
    assert same.data.model_dump() == case.data.model_dump()


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        ({"gup": 0.01}, 'expected a value of the case, found "gup", which it does not have; did you mean "gap"?'),
        ({"colour": 1}, "say it in \\[named\\] and use its name"),
        ({"gap": "3 kHz"}, "expected a length"),
        ({"thick": 0.5e-9}, "from 10 nm to 100 m"),
        ({"metal": "coper"}, 'did you mean "copper"'),
    ],
)
def test_what_makes_no_sound_case(case: Case, changes: dict[str, float | int | str], message: str) -> None:
    with pytest.raises(CaseError, match=message):
        varied(case, changes)


def test_a_conductor_as_a_whole_keeps_its_name_place_and_metal(case: Case) -> None:
    name = case.data.conductor[1].name
    other = varied(case, {name: '{"shape": "round", "diameter": "4 mm"}'})
    row, before = other.data.conductor[1], case.data.conductor[1]
    assert (row.shape, row.name, row.material) == ("round", name, before.material)
    assert other.problem().conductors[1].part.shape.area == pytest.approx(3.14159265 * 4e-6, rel=1e-6)
