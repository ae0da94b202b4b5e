"""[pictures]: where the zoom goes."""

from __future__ import annotations

from topic_cases import tubes

from crosscurrent.casefile.case import checked_case
from crosscurrent.casefile.tables.pictures import PicturesTable


def test_nothing_is_chosen_unless_written() -> None:
    assert PicturesTable().zoom == ()
    assert checked_case(tubes()).zoomed == ()


def test_words_with_a_star_mean_all_that_fit() -> None:
    chosen = checked_case(tubes(pictures={"zoom": ["*"]})).zoomed
    assert chosen == tuple(c.name for c in checked_case(tubes()).problem().conductors)
