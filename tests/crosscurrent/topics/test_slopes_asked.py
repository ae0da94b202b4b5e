"""Which figures have slopes: what is at fault, and edges of half a thickness."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from topic_cases import bars, chapter

from crosscurrent.casefile.case import checked_case
from crosscurrent.casefile.faults import CaseError
from crosscurrent.casefile.varied import varied
from crosscurrent.casefile.written import as_toml
from crosscurrent.run import solve_case
from crosscurrent.topics.slopes_asked import asked


def test_an_unknown_figure_is_refused_before_the_solve() -> None:
    with pytest.raises(CaseError, match=r'found "a\.widht"; did you mean "a\.width"'):
        solve_case(checked_case(bars(slopes={"of": ["a.widht"]})))


def test_a_figure_that_has_a_name_is_asked_for_by_it() -> None:
    tables = bars(named={"wide": "5 mm"}, slopes={"of": ["a.width"]})
    tables["conductor"] = [{**row, "width": "wide"} for row in tables["conductor"]]
    with pytest.raises(CaseError, match=r'found "a\.width"; it is "wide" of \[named\]: write that'):
        solve_case(checked_case(tables))


def test_an_unknown_figure_of_a_file_is_told_with_its_line(tmp_path: Path) -> None:
    text = as_toml(bars()) + '\n[slopes]\nof = [\n    "a.width",\n    "a.widht",\n]\n'
    path = tmp_path / "feed.toml"
    path.write_text(text, encoding="utf-8")
    line = text.splitlines().index('    "a.widht",') + 1
    with pytest.raises(CaseError) as error:
        solve_case(path)
    (fault,) = error.value.faults
    assert (fault.line, fault.place, fault.hint) == (line, "slopes", 'did you mean "a.width"?')
    assert str(error.value).startswith(f'feed.toml, line {line}, slopes, key of 2: expected a figure of the case')


def test_edges_of_half_a_thickness_are_found_a_little_less_round() -> None:
    conductors = [{**row, "edge_radius": "2.5 mm"} for row in bars()["conductor"]]
    tables = bars(conductor=conductors, slopes={"of": ["a.width"]}, accuracy={"resistance": "0.01 %"})
    result = solve_case(checked_case(tables))
    found = chapter(result, "slopes")
    assert found.record["with_edges_less_round"] == ["a.width"]
    slope = next(one for one in result.points[0].slopes if one.key == "a.width")
    tight = {key: table for key, table in tables.items() if key != "slopes"} | {"accuracy": {"resistance": "0.0001 %"}}
    plain = checked_case(tight)
    near = [solve_case(varied(plain, {"a.width": 0.005 * (1 + n * 0.005)})).points[0] for n in range(5)]
    rows = [p.circuits["feed"].resistance or 0.0 for p in near]
    wanted = float(np.dot([-25 / 12, 4, -3, 4 / 3, -1 / 4], rows)) / 2.5e-5  # one-sided, of fourth order
    feed = slope.circuits["feed"]
    assert abs((feed.resistance or 0.0) - wanted) < min(feed.resistance_error or 0.0, 1e-4 * abs(wanted))


def test_what_lies_on_the_axis_or_is_no_conductor_has_figures_that_nobody_changes() -> None:
    rod = {"name": "rod", "shape": "round", "diameter": "10 mm", "material": "ferrite", "centre": ["0 mm", "2 mm"]}
    turn = {"name": "turn", "shape": "round", "diameter": "4 mm", "material": "copper", "centre": ["20 mm", "0 mm"]}
    coil = {"name": "coil", "turns": ["turn"], "current": "10 A"}
    core = {"ferrite": {"conductivity": "0 S/m", "permeability": 200}}
    tables = {"symmetry": "axial", "frequency": {"at": ["10 kHz"]}, "conductor": [rod, turn], "coil": [coil],
              "material": core, "slopes": {}}  # fmt: skip
    found = {one.variable.key: one for one in asked(checked_case(tables))}
    assert "ferrite.conductivity" not in found
    assert {key for key, one in found.items() if one.problem is None} == {"rod.centre.x"}
    assert found["rod.centre.x"].why == "it lies on the axis"
