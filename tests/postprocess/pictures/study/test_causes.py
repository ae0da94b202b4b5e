"""What makes a band: bars in order, both ends, words."""

import math

import pytest
from made_designs import LONG, assert_same_bytes, assert_texts_stand_apart, said

from crosscurrent.postprocess.pictures.study.causes import LISTED, causes_figure
from crosscurrent.postprocess.pictures.study.data import CauseBand, CauseShare, StudyScale

LOSS = StudyScale("loss", "W/m")


def band(count=3, scale=LOSS, by=1.0, name="cause"):
    """Cause k moves 90 by k + 1 down and by twice that up."""
    ends = [(by * (89 - k), by * (92 + 2 * k)) for k in range(count)]
    causes = tuple(CauseShare(f"{name} {k}", f"{k} mm +- 0.1 mm", *both, 0.25) for k, both in enumerate(ends))
    return CauseBand(scale, by * 90, by * 85, by * 97, causes)


MANY = [band(14), band(5, StudyScale("inductance of the whole loop", "H/m"), 1e-9, LONG),
        band(1, StudyScale("largest temperature of the bars", "degC"))]  # fmt: skip


@pytest.mark.parametrize("bands", [[band()], MANY, [band(0)], [], MANY * 2, [band(1)] * 2])
def test_texts_stand_apart(bands):
    assert_texts_stand_apart(causes_figure(bands, "Feed of the pier " * 6, "85 kHz " * 30))


def test_the_largest_comes_first():
    axes = causes_figure([band()], "Feed", "85 kHz").axes[0]
    assert [t.get_text() for t in axes.texts] == [
        "cause 2", "25 % · 2 mm +- 0.1 mm", "cause 1", "25 % · 1 mm +- 0.1 mm", "cause 0", "25 % · 0 mm +- 0.1 mm",
    ]  # fmt: skip
    bars = [bar for container in axes.containers for bar in container]
    assert [(bar.get_x(), bar.get_width()) for bar in bars[:2]] == [(90.0, -3.0), (90.0, 6.0)]
    assert axes.yaxis_inverted()


def test_what_is_left_out_is_said():
    notes = said(causes_figure([band(LISTED + 4)] * 4, "Feed", ""))
    assert "loss: and 4 causes more, smaller" in notes
    assert "and 2 figures more, not drawn" in notes
    assert "loss: 90 W/m, band 85 W/m to 97 W/m (shaded)" in notes


def test_nothing_to_show_is_said():
    assert "no cause has an effect on it" in said(causes_figure([band(0)], "Feed", ""))
    assert "no figure has a band" in said(causes_figure([], "Feed", ""))
    unknown = CauseBand(LOSS, math.nan, math.nan, math.nan, (CauseShare("gap", "", math.nan, math.nan),))
    assert "loss: not known, band not known to not known (shaded)" in said(causes_figure([unknown], "Feed", ""))


def test_same_causes_same_bytes(tmp_path):
    assert_same_bytes(lambda: causes_figure([band()], "Feed", "85 kHz"), tmp_path)
