"""A page has a place for everything, and no place twice."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest

from crosscurrent.postprocess.pictures.page import lay_out, wrapped
from crosscurrent.postprocess.pictures.views import View


@pytest.mark.parametrize("aspects", [(1.0,), (5.0,), (1.0, 3.0)])
@pytest.mark.parametrize("zoomed", [True, False])
def test_places_do_not_overlap_and_lie_on_the_page(aspects: tuple[float, ...], zoomed: bool) -> None:
    views = [View(np.array([[0.0, 0.0], [aspect, 1.0]])) for aspect in aspects]
    page = lay_out("Title", "what is shown", views, lambda panels: ["a note"] * len(panels), zoomed=zoomed)
    assert (page.zoom is not None) is zoomed
    every = [axes for _, axes in page.panels] + [page.bar] + ([page.zoom] if page.zoom else [])
    boxes = [axes.get_position() for axes in every]
    for box in boxes:
        assert min(box.x0, box.y0, 1 - box.x1, 1 - box.y1) > 0
    assert not any(a.overlaps(b) for a, b in combinations(boxes, 2))
    assert [t.get_text() for t in page.figure.texts][:2] == ["Title", "what is shown"]


def test_notes_are_broken_between_words() -> None:
    lines = wrapped(["a note that is rather long for its place", "short"], 1.2)
    assert len(lines) > 2
    assert " ".join(" ".join(lines).split()) == "a note that is rather long for its place short"
    assert max(map(len, lines)) <= 1.2 / 0.0565 + 3
