"""A study as what its pictures are made of; which pictures it has."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from study_cases import ROD, STACK, written

from crosscurrent.casefile.case import Case
from crosscurrent.postprocess.pictures.style import own_style
from crosscurrent.studies.conduct import study
from crosscurrent.studies.design import Design
from crosscurrent.studies.reading import plan_of
from crosscurrent.studies.run import Study, best_of
from crosscurrent.studies.shown import data, pictures

RANGES = """
[prices]
[limits]
mass = "4 kg/m"
[[vary]]
name = "size"
from = "10 mm"
to = "40 mm"
[[vary]]
name = "feed.current"
from = "50 A"
to = "60 A"
[[vary]]
name = "metal"
values = ["copper", "silver"]
[study]
least = ["loss", "mass"]
"""


def _designs(case: Case) -> Study:
    plan = plan_of(case)
    designs = [
        Design(f"{metal}{size}{current}", {"metal": metal, "size": size, "feed.current": current},
               {"loss_w_per_m": 1e-3 * current**2 / size**2, "mass_kg_per_m": 1e4 * size**2}, {}, {},
               {"mass": 2500 * size**2 - 1}, "fail" if size > 0.02 else "pass")
        for metal in ("copper", "silver") for size in (0.01, 0.02, 0.04) for current in (50.0, 60.0)
    ]  # fmt: skip
    ways = {"loss": ((designs[0], designs[3]), (designs[8], designs[10])), "mass": ((designs[4],),)}
    return Study(case, plan, designs, best_of(designs, plan.question), tuple(designs[2:3]), ways=ways)


def test_groups_scales_and_limits(tmp_path: Path) -> None:
    found = _designs(written(tmp_path, ROD + RANGES))
    designs, places = data(found)
    assert [group.name for group in designs.groups] == ["copper", "silver"]
    assert [(scale.label, scale.unit) for scale in designs.varied] == [("size", "m"), ("feed.current", "A")]
    assert [(limit.name, limit.figure, limit.value) for limit in designs.limits] == [("mass at most 4 kg/m", 1, 4.0)]
    assert np.allclose(designs.groups[0].values[2], (0.02, 50.0))
    assert designs.best is not None
    assert designs.groups[designs.best.group].values[designs.best.row].tolist() == [0.02, 50.0]
    assert len(places) == 12


def test_pictures_by_what_varies(tmp_path: Path) -> None:
    found = _designs(written(tmp_path, ROD + RANGES))
    drawn = pictures(found)
    assert list(drawn) == ["map-loss", "map-mass", "trade-off"]
    lines = [[line.get_xydata().tolist() for line in axes.lines if line.get_gid() == "search"]
             for axes in drawn["map-loss"]().axes[:2]]  # fmt: skip
    assert lines == [[[[10, 50], [20, 60]]], [[[20, 50], [40, 50]]]]
    assert list(pictures(study(written(tmp_path, STACK)))) == ["orders"]


def test_three_ranges_have_a_panel_each(tmp_path: Path) -> None:
    """With the slopes of the best design as lines."""
    text = ROD.replace('size = "20 mm"', 'size = "20 mm"\nlong = "20 mm"').replace(
        'shape = "round"\ndiameter = "size"', 'shape = "bar"\nwidth = "size"\nthickness = "long"'
    )
    spans = ("size", "10 mm", "40 mm"), ("long", "10 mm", "40 mm"), ("feed.current", "50 A", "60 A")
    ranges = "".join(f'[[vary]]\nname = "{key}"\nfrom = "{low}"\nto = "{high}"\n' for key, low, high in spans)
    found = study(written(tmp_path, text + ranges + '[study]\nleast = "loss"\ndesigns = 4\nstarts = 1\n'))
    assert found.best is not None
    drawn = pictures(found)
    assert list(drawn) == ["each-loss"]
    panels = drawn["each-loss"]().axes
    assert [axes.get_xlabel() for axes in panels] == ["size [mm]", "long [mm]", "feed.current [A]"]
    line = {one.get_gid(): one for one in panels[0].lines}["alone"]
    x, y = np.asarray(line.get_xdata(), dtype=float), np.asarray(line.get_ydata(), dtype=float)
    size = float(found.best.values["size"])
    assert (y[-1] - y[0]) / (x[-1] - x[0]) * size * 1e3 == pytest.approx(-y.mean(), rel=1e-3)  # as 1 / size


def test_a_count_runs_along_an_axis(tmp_path: Path) -> None:
    """With a curve for each metal."""
    text = ROD.replace('[named]', '[named]\ncount = 2').replace(
        'diameter = "size"', 'diameter = "size"\nrepeat = { count = "count", step = ["30 mm", "0 mm"] }'
    ).replace('out = ["rod"]', 'out = ["rod.*"]')
    varied = '[[vary]]\nname = "count"\nvalues = [2, 3]\n[[vary]]\nname = "metal"\nvalues = ["copper", "silver"]\n'
    case = written(tmp_path, text + varied)
    plan = plan_of(case)
    designs = [
        Design(f"{metal}{count}", {"count": count, "metal": metal}, {"loss_w_per_m": 9.0 / count}, {},
               {}, {}, "none stated")
        for metal in ("copper", "silver") for count in (2, 3)
    ]  # fmt: skip
    found = Study(case, plan, designs, best_of(designs, plan.question))
    drawn, _ = data(found)
    assert [(group.name, group.values.ravel().tolist()) for group in drawn.groups] == [
        ("copper", [2.0, 3.0]),
        ("silver", [2.0, 3.0]),
    ]
    assert list(pictures(found)) == ["over-count"]


def test_metals_alone_stand_in_their_order(tmp_path: Path) -> None:
    case = written(tmp_path, ROD + '[[vary]]\nname = "metal"\nvalues = ["silver", "copper"]\n')
    plan = plan_of(case)
    designs = [
        Design(metal, {"metal": metal}, {"loss_w_per_m": loss}, {}, {}, {}, "none stated")
        for metal, loss in (("silver", 9.0), ("copper", 8.0))
    ]
    drawn = pictures(Study(case, plan, designs, best_of(designs, plan.question)))
    assert list(drawn) == ["ranked"]
    assert [label.get_text() for label in drawn["ranked"]().axes[0].get_yticklabels()] == ["copper", "silver"]


def test_a_curve_of_leakage_shows_the_coupling_factor(tmp_path: Path) -> None:
    varied = '[[vary]]\nname = "size"\nvalues = ["10 mm", "20 mm", "40 mm"]\n'
    plan = plan_of(written(tmp_path, ROD + varied))
    plan = replace(plan, question=replace(plan.question, aims=("leakage",)))
    designs = [
        Design(f"{size}", {"size": size}, {"leakage": 20 * size, "loss_w_per_m": 3.0}, {}, {}, {}, "pass")
        for size in (0.01, 0.02, 0.04)
    ]  # fmt: skip
    found = Study(written(tmp_path, ROD), plan, designs, designs[0])
    with own_style():
        axes = pictures(found)["over-size"]().axes
    assert [one.get_ylabel() for one in axes[:2]] == ["coupling factor", "loss [W/m]"]
    lines = [line for line in axes[0].lines if len(line.get_xdata()) == 3]
    assert any(np.allclose(line.get_ydata(), (0.8, 0.6, 0.2)) for line in lines)
