"""Many varied values: a panel for each, every design in all of them, the best ringed, its slopes as lines."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from made_designs import LONG, LOSS, assert_same_bytes, assert_texts_stand_apart, said

from crosscurrent.postprocess.pictures.study.data import (
    DesignAt,
    DesignGroup,
    StudyDesigns,
    StudyLimit,
    StudyScale,
)
from crosscurrent.postprocess.pictures.study.spread_out import spread_figure

NAMES = ("gap", "width", "thickness", "pitch", LONG, "current", "a", "b", "c", "d", "e")


def made(names: int, *, groups: int = 1, count: int = 30, faults: int = 0, by_ratios: bool = False) -> StudyDesigns:
    """Loss 10 + sum of all values over a metre; the first value may be 6 mm at most."""
    found = []
    for k in range(groups):
        values = np.random.default_rng(k).uniform(1e-3, 9e-3, (count, names))
        loss = 10.0 + k + values.sum(axis=1, keepdims=True)
        loss[:faults] = np.nan
        found.append(DesignGroup(f"metal {k}" if groups > 1 else "", values, loss, 0 * loss, values[:, :1] / 6e-3 - 1))
    varied = tuple(StudyScale(name, "m", by_ratios) for name in NAMES[:names])
    best = DesignAt(0, int(np.nanargmin(found[0].figures[:, 0]))) if count > faults else None
    return StudyDesigns(tuple(found), varied, (LOSS,), (StudyLimit("gap at most 6 mm"),), best)


@pytest.mark.parametrize(
    "designs",
    [made(3), made(5, groups=3, faults=2), made(11), made(4, by_ratios=True), made(3, groups=12), made(3, count=0)],
)
def test_texts_stand_apart(designs: StudyDesigns) -> None:
    slopes = [1.0] * len(designs.varied)
    assert_texts_stand_apart(spread_figure(designs, 0, slopes, "Feed " * 30, "metals " * 30))


def test_every_design_is_in_every_panel() -> None:
    designs = made(4)
    group, best = designs.groups[0], designs.best
    assert best is not None
    panels = spread_figure(designs, 0, [1.0, np.nan, 1.0, 1.0], "Feed", "").axes
    assert [axes.get_xlabel() for axes in panels] == [f"{name} [mm]" for name in (*NAMES[:4],)]
    for k, axes in enumerate(panels):
        drawn = {line.get_gid(): line for line in axes.lines}
        kept, broken = (np.asarray(drawn[gid].get_xdata()) for gid in ("kept", "broken"))
        assert len(kept) + len(broken) == 30
        assert (len(broken), len(kept)) == (int(group.broken.sum()), int((~group.broken).sum()))
        assert np.asarray(drawn["best"].get_xdata())[0] == pytest.approx(1e3 * group.values[best.row, k])
        assert ("alone" in drawn) == (k != 1)
    x, y = (np.asarray(d) for d in {line.get_gid(): line for line in panels[0].lines}["alone"].get_data())
    assert (y[-1] - y[0]) / (1e-3 * (x[-1] - x[0])) == pytest.approx(1.0)  # the slope, W/m per m


def test_notes_tell_what_one_percent_does() -> None:
    designs = made(3, faults=2)
    notes = said(spread_figure(designs, 0, [1e3, 0.0, np.nan], "Feed", ""))
    assert any("1 % more changes loss by: gap +" in note and "pitch" not in note for note in notes)
    assert "not drawn: 2 designs with a fault, without figures" in notes
    assert any(note.startswith("gap at most 6 mm: broken by ") for note in notes)


def test_same_designs_same_bytes(tmp_path: Path) -> None:
    assert_same_bytes(lambda: spread_figure(made(4), 0, [], "Feed", "85 kHz"), tmp_path)
