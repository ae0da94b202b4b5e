"""Heads of columns out of titles: short, and each its own."""

from __future__ import annotations

from crosscurrent.postprocess.answers.short_titles import WIDE, short_titles


def test_short_titles_stay_as_they_are() -> None:
    assert short_titles(["Rod of 5 mm", "Rod of 10 mm"]) == ("Rod of 5 mm", "Rod of 10 mm")


def test_what_all_of_them_say_is_left_out() -> None:
    titles = [f"Feed from the inverter to the pad: {kind}, 900 A" for kind in ("tubes", "bars face to face")]
    assert short_titles(titles) == ("tubes", "bars face to face")


def test_long_ones_are_cut_between_words_and_numbered_where_alike() -> None:
    titles = ["Silvered copper tubes over a steel floor plate", "Silvered copper tubes over a steel floor panel"]
    assert short_titles(titles) == ("plate", "panel")
    alike = short_titles(["the same very long title of two cases, again"] * 2)
    assert alike == ("again (1)", "again (2)")
    first, second = short_titles(["One way to run it along the quay wall to the crane", "Another way altogether"])
    assert first == "One way to run it along..."
    assert len(first) <= WIDE
    assert second == "Another way altogether"
