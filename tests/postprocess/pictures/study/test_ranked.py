"""Alternatives alone: in the order of the first figure, those that break a limit last, the limit as a line."""

import numpy as np
import pytest
from made_designs import INDUCTANCE, LOSS, assert_same_bytes, assert_texts_stand_apart, said

from crosscurrent.postprocess.pictures.study.data import DesignAt, DesignGroup, StudyDesigns, StudyLimit
from crosscurrent.postprocess.pictures.study.ranked import LISTED, ranked_figure

LIMITS = (StudyLimit("inductance at most 40 nH/m", 1, 4e-8), StudyLimit("mass at most 4 kg/m"))
LONG = "the alloy of the outgoing bar of the eastern feed <&> $x_1$"


def metal(name, loss, inductance=3e-8):
    figures = np.array([[loss, inductance]])
    margins = np.array([[inductance / 4e-8 - 1, -0.5]])
    return DesignGroup(name, np.zeros((1, 0)), figures, 0.01 * figures, margins)


def metals(*groups, best=None):
    return StudyDesigns(groups, (), (LOSS, INDUCTANCE), LIMITS, best)


FOUR = metals(metal("brass", 200.0), metal("iron", 90.0, 6e-8), metal("copper", 100.0), metal("lost", np.nan, np.nan),
              best=DesignAt(2, 0))  # fmt: skip


@pytest.mark.parametrize(
    "designs", [FOUR, metals(), metals(metal(LONG, 1.0)), metals(*(metal(f"m{k}", 1.0 + k) for k in range(30)))]
)
def test_texts_stand_apart(designs):
    assert_texts_stand_apart(ranked_figure(designs, "Feed " * 30, "metals " * 30))


def test_the_least_first_and_what_breaks_a_limit_last():
    axes, other = ranked_figure(FOUR, "Feed", "85 kHz").axes
    assert [label.get_text() for label in axes.get_yticklabels()] == ["copper", "brass", "iron"]
    dots = {line.get_gid(): line.get_xdata().tolist() for line in axes.lines}
    assert (dots["kept"], dots["broken"], dots["best"]) == ([100.0, 200.0], [90.0], [100.0])
    (limit,) = [line for line in other.lines if line.get_gid() == "limit"]
    assert limit.get_xdata() == [40.0, 40.0]


def test_notes_tell_faults_and_limits():
    notes = said(ranked_figure(FOUR, "Feed", "85 kHz"))
    assert "not drawn: 1 design with a fault, without figures" in notes
    assert any(note.startswith("inductance at most 40 nH/m") and note.endswith("broken by 1") for note in notes)
    assert "mass at most 4 kg/m: kept throughout" in notes


def test_of_very_many_the_first_are_shown():
    axes = ranked_figure(metals(*(metal(f"m{k}", 100.0 - k) for k in range(30))), "Feed", "").axes[0]
    names = [label.get_text() for label in axes.get_yticklabels()]
    assert (len(names), names[0]) == (LISTED, "m29")


def test_same_designs_same_bytes(tmp_path):
    assert_same_bytes(lambda: ranked_figure(FOUR, "Feed", "85 kHz"), tmp_path)
