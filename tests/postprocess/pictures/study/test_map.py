"""A figure over two varied values: panels, what is said, for few, many and no designs."""

import pytest
from made_designs import LONG, assert_same_bytes, assert_texts_stand_apart, over_plane, plane, said

from crosscurrent.postprocess.pictures.study.data import DesignAt
from crosscurrent.postprocess.pictures.study.map import map_figure


def several(groups, count=6, faults=0):
    names = [f"copper, {k} bars behind one another $x$" for k in range(groups)]
    return [over_plane(name, count, 1 + 0.1 * k, faults) for k, name in enumerate(names)]


@pytest.mark.parametrize(
    "designs",
    [
        plane(over_plane(), best=DesignAt(0, 0)), plane(*several(2), by_ratios=True, best=DesignAt(1, 35)),
        plane(*several(5, faults=2), label=LONG), plane(over_plane("pair", 1)), plane(over_plane(faults=36)), plane(),
    ],
)  # fmt: skip
def test_texts_stand_apart(designs):
    assert_texts_stand_apart(map_figure(designs, 0, [], "Feed of the pier " * 6, "gap and width " * 12))


def test_one_colour_scale_for_all_panels():
    figure = map_figure(plane(*several(3)), 0, [], "Feed", "85 kHz")
    assert len(figure.axes) == 4
    norms = {axes.collections[0].norm for axes in figure.axes[:3]}
    assert len(norms) == 1
    norm = norms.pop()
    assert (norm.vmin, norm.vmax) == pytest.approx((30.0, 1.2 * 110.0))
    assert [axes.get_title(loc="left")[:14] for axes in figure.axes[:3]] == [f"copper, {k} bars" for k in range(3)]
    assert figure.axes[3].get_title(loc="left") == "loss [W/m]"


def test_of_many_alternatives_the_best_six():
    figure = map_figure(plane(*reversed(several(8, count=3)), best=DesignAt(7, 0)), 0, [], "Feed", "")
    assert "the best 6 of 8 alternatives" in said(figure)
    assert [axes.get_title(loc="left")[8] for axes in figure.axes[:6]] == list("543210")
    assert "best" in [t.get_text() for t in figure.axes[5].texts]


def test_limits_are_said():
    notes = said(map_figure(plane(over_plane(faults=2)), 0, [], "Feed", ""))
    assert "1  gap at most 3 mm: its border" in notes
    assert "2  mass at most 4 kg/m: kept throughout" in notes
    assert any(note.startswith("contour lines and borders: straight from design to design; of so") for note in notes)
    many = said(map_figure(plane(over_plane(count=9)), 0, [], "Feed", ""))
    assert "contour lines and borders: straight from design to design" in many
    faults = "crosses: 2 designs with a fault, without figures"
    assert f"dots: 36 designs; hatched, hollow: breaks a limit; {faults}" in notes


def test_nothing_to_show_is_said():
    for designs in (plane(), plane(over_plane(faults=36)), plane(over_plane(count=0))):
        assert "no design has this figure" in said(map_figure(designs, 0, [], "Feed", ""))
    assert "too few designs for a field" in said(map_figure(plane(over_plane(count=1)), 0, [], "Feed", ""))


def test_same_designs_same_bytes(tmp_path):
    designs = plane(over_plane(count=3), best=DesignAt(0, 2))
    assert_same_bytes(lambda: map_figure(designs, 0, [], "Feed", "85 kHz"), tmp_path)
