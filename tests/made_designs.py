"""Designs made by hand for the pictures of a study, and how their texts stand."""

import hashlib
from itertools import combinations

import numpy as np
from matplotlib.text import Text

from crosscurrent.postprocess.pictures.study.data import DesignGroup, StudyDesigns, StudyLimit, StudyScale
from crosscurrent.postprocess.pictures.style import save

LOSS, INDUCTANCE = StudyScale("loss", "W/m"), StudyScale("inductance", "H/m")
LONG = "thickness of the outgoing bar of the eastern feed of the pier <&> $x_1$"
LIMITS = (StudyLimit("inductance at most 225 nH/m", 1, 2.25e-7), StudyLimit("temperature at most 70 °C"))
TOUCH = 2.5  # pixels that lines of a block share


def over_gap(name="", count=9, scale=1.0, faults=0):
    """Loss 80 W/m at its least, at 4 mm; L = 50 nH/m per mm; 70 degC at 6 mm."""
    gap = np.linspace(1e-3, 9e-3, count)
    figures = np.stack([scale * (80 + 2e6 * (gap - 4e-3) ** 2), 5e-5 * gap], axis=1)
    figures[:faults] = np.nan
    margins = np.stack([figures[:, 1] / 2.25e-7 - 1, gap / 6e-3 - 1], axis=1)
    return DesignGroup(name, gap[:, None], figures, 0.01 * figures, margins)


def along(*groups, label="gap", by_ratios=False, best=None):
    figures = tuple(StudyScale(s.label, s.unit, by_ratios) for s in (LOSS, INDUCTANCE))
    return StudyDesigns(groups, (StudyScale(label, "m", by_ratios),), figures, LIMITS, best)


def over_plane(name="", count=6, scale=1.0, faults=0):
    """Loss scale (1e4 (gap + width) + 10) W/m; gap and width 1 to 5 mm; limits at gap 3 mm and width 9 mm."""
    gap, width = (g.ravel() for g in np.meshgrid(*(np.linspace(1e-3, 5e-3, count),) * 2))
    figures = (scale * (1e4 * (gap + width) + 10))[:, None]
    figures[:faults] = np.nan
    margins = np.stack([gap / 3e-3 - 1, width / 9e-3 - 1], axis=1)
    return DesignGroup(name, np.stack([gap, width], axis=1), figures, 0 * figures, margins)


def plane(*groups, label="gap", by_ratios=False, best=None):
    axes = StudyScale(label, "m", by_ratios), StudyScale("width", "m", by_ratios)
    limits = StudyLimit("gap at most 3 mm"), StudyLimit("mass at most 4 kg/m")
    return StudyDesigns(groups, axes, (StudyScale("loss", "W/m", by_ratios),), limits, best)


def said(figure):
    """All texts on a figure."""
    return [t.get_text() for t in figure.findobj(Text) if t.get_text()]


def assert_texts_stand_apart(figure):
    """No label, note or title on another, none off the page."""
    figure.draw_without_rendering()
    texts = [t for t in figure.texts if t.get_text()]
    for axes in figure.axes:
        legend = axes.get_legend()
        own = [*axes.texts, axes._left_title, *(legend.get_texts() if legend else ())]
        for axis in (axes.xaxis, axes.yaxis) if axes.axison else ():
            own += [axis.label, *(tick.label1 for tick in axis._update_ticks())]
        texts += [t for t in own if t.get_text() and t.get_visible()]
    boxes = [(t.get_text(), Text.get_window_extent(t)) for t in texts]
    width, height = figure.canvas.get_width_height()
    for text, box in boxes:
        assert min(box.x0, box.y0, width - box.x1, height - box.y1) >= -1, text
    for (one, a), (two, b) in combinations(boxes, 2):
        shared = min(a.x1, b.x1) - max(a.x0, b.x0), min(a.y1, b.y1) - max(a.y0, b.y0)
        assert min(shared) < TOUCH, (one, two)


def assert_same_bytes(draw, folder):
    """The same input gives the same PNG and SVG."""
    hashes = []
    for name in ("one", "two"):
        hashes.append([hashlib.sha256(path.read_bytes()).hexdigest() for path in save(draw(), folder / name)])
    assert hashes[0] == hashes[1]


