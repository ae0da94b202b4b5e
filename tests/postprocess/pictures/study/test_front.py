"""The trade-off of two aims: designs, front and labels."""

import numpy as np
import pytest
from made_designs import assert_same_bytes, assert_texts_stand_apart, said

from crosscurrent.postprocess.pictures.study.data import DesignAt, DesignGroup, StudyDesigns, StudyLimit, StudyScale
from crosscurrent.postprocess.pictures.study.front import LABELS, front_figure


def group(name="", count=12, scale=1.0, faults=0):
    """Loss times mass is constant, so all are on the front of their own group."""
    thick = np.linspace(2e-3, 12e-3, count)
    figures = scale * np.stack([0.6 / thick, 500 * thick], axis=1)
    figures[:faults] = np.nan
    return DesignGroup(name, thick[:, None], figures, 0 * figures, figures[:, :1] / 200 - 1)


def designs(*groups, by_ratios=False):
    figures = StudyScale("loss", "W/m", by_ratios), StudyScale("mass", "kg/m", by_ratios)
    return StudyDesigns(groups, (StudyScale("thickness", "m"),), figures, (StudyLimit("loss at most 200 W/m"),))


def kept(number, one):
    return [DesignAt(number, int(k)) for k in np.flatnonzero(~one.broken & ~one.faulty)]


NAMED = [group(f"alternative {k} with a very long name $x$", 90, 1 + 0.2 * k, 2) for k in range(10)]


@pytest.mark.parametrize(
    ("found", "front"),
    [
        (designs(group()), kept(0, group())), (designs(*NAMED[:5]), kept(0, NAMED[0])),
        (designs(*NAMED, by_ratios=True), kept(0, NAMED[0])), (designs(group(count=1)), []), (designs(), []),
        (designs(group(faults=12)), []), (designs(group(count=1, scale=0.5)), [DesignAt(0, 0)]),
    ],
)  # fmt: skip
def test_texts_stand_apart(found, front):
    assert_texts_stand_apart(front_figure(found, front, "Feed of the pier " * 6, "loss and mass " * 12))


def test_the_front_is_a_line_through_its_designs():
    one = group(faults=1)
    figure = front_figure(designs(one), kept(0, one)[::-1], "Feed", "")
    line = next(line for line in figure.axes[0].lines if line.get_gid() == "front")
    assert line.get_xydata() == pytest.approx(one.figures[~one.broken & ~one.faulty][::-1])
    labels = [t.get_text() for t in figure.axes[0].texts]
    assert 2 <= len(labels) <= LABELS
    assert {"12 mm", "3.82 mm"} <= set(labels)  # both ends: 200 W/m is passed at 3 mm
    notes = said(figure)
    assert "labels: thickness" in notes
    assert "not drawn: 1 design with a fault, without figures" in notes


def test_designs_that_break_a_limit_are_hollow():
    one = group(scale=1.5)
    axes = front_figure(designs(one), kept(0, one), "Feed", "").axes[0]
    hollow = next(line for line in axes.lines if line.get_gid() == "broken")
    assert hollow.get_markerfacecolor() == "none"
    assert len(hollow.get_xdata()) == one.broken.sum() > 0


def test_alternatives_differ_in_shape():
    axes = front_figure(designs(*NAMED[:3]), [], "Feed", "").axes[0]
    assert len({line.get_marker() for line in axes.lines if line.get_gid() == "kept"}) == 3
    assert axes.get_legend().get_texts()[0].get_parse_math() is False


def test_nothing_to_show_is_said():
    for found in (designs(), designs(group(faults=12))):
        assert "no design has both figures" in said(front_figure(found, [], "Feed", ""))


def test_same_designs_same_bytes(tmp_path):
    found = designs(group(count=5))
    assert_same_bytes(lambda: front_figure(found, kept(0, found.groups[0]), "Feed", ""), tmp_path)
