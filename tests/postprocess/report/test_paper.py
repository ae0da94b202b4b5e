"""Sheets: ISO 216 and ANSI/ASME Y14.1 sizes, and pictures that leave no half page empty."""

from __future__ import annotations

import pytest

from crosscurrent.postprocess.report.paper import CAPTION, FEWEST, MOST, PAPERS, Paper

EVERY = list(PAPERS.values())


def test_sizes() -> None:
    # ISO 216: A4 is 210 x 297 mm; ANSI/ASME Y14.1: size A is 8.5 x 11 in
    assert (PAPERS["a4"].width, PAPERS["a4"].height) == (210.0, 297.0)
    assert (PAPERS["letter"].width / 25.4, PAPERS["letter"].height / 25.4) == pytest.approx((8.5, 11.0))


@pytest.mark.parametrize("paper", EVERY)
@pytest.mark.parametrize("size", [(188.0, 131.0), (188.0, 166.0), (206.0, 73.0), (188.0, 333.0), (90.0, 40.0)])
def test_pictures_fit_the_page_and_are_never_enlarged(paper: Paper, size: tuple[float, float]) -> None:
    width, height = paper.inner
    number = paper.pieces(*size)
    piece = size[1] / number
    printed = paper.picture_width(size[0], piece)
    assert printed <= min(size[0], width)
    assert 7 * printed / size[0] >= 6 or printed == width  # text of 7 pt
    assert printed * piece / size[0] + CAPTION <= 0.55 * height + 1e-9
    assert (number > 1) == (7 * paper.picture_width(*size) / size[0] < 6)


@pytest.mark.parametrize("paper", EVERY)
@pytest.mark.parametrize("size", [(179.0, 158.0), (174.0, 144.0), (164.0, 150.0)])
def test_a_picture_in_one_piece_can_be_read_on_its_page(paper: Paper, size: tuple[float, float]) -> None:
    """Maps of a study or of stray fields: text of 7 pt printed in 6, and the page more than half filled."""
    printed = paper.whole_width(*size)
    assert 7 * printed / size[0] >= 6
    assert paper.inner[1] / 2 < printed * size[1] / size[0] + CAPTION <= paper.inner[1]


@pytest.mark.parametrize("paper", EVERY)
@pytest.mark.parametrize("shape", [0.4, 0.9, 1.1])
def test_the_first_picture_has_half_the_width_of_the_sheet(paper: Paper, shape: float) -> None:
    drawing, width = paper.first_page(20.0, shape)
    assert width >= paper.width / 2
    assert drawing >= 0.1 * paper.height


@pytest.mark.parametrize("paper", EVERY)
def test_below_a_long_verdict_both_stay_on_the_page(paper: Paper) -> None:
    drawing, width = paper.first_page(80.0, 1.2)
    assert drawing + 1.2 * width + 80.0 < paper.inner[1]


@pytest.mark.parametrize("paper", EVERY)
def test_taller_pictures_leave_fewer_rows(paper: Paper) -> None:
    rows = [paper.rows(above) for above in (0.0, 110.0, 140.0, 180.0)]
    assert rows == sorted(rows, reverse=True)
    assert rows[0] == MOST
    assert rows[-1] == FEWEST
    assert paper.begins_answers(180.0)


@pytest.mark.parametrize("paper", EVERY)
def test_answers_without_room_stand_on_the_next_page(paper: Paper) -> None:
    assert not paper.begins_answers(210.0)
    longest = next(rows for rows in range(20, 0, -1) if paper.begins_answers(150.0, rows))
    assert 3 < longest < 20  # a heading and so many rows of 4.8 mm, in what is left below 150 mm
    assert (longest + 1) * 4.8 <= paper.inner[1] - 150.0 - 44.5 - 18.0 + 5.0 < (longest + 2) * 4.8
    assert paper.rows(210.0) == MOST
