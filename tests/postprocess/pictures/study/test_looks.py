"""What the pictures of a study share: borders between designs, words, texts that give way."""

import numpy as np
import pytest
from made_designs import along, over_gap
from matplotlib.figure import Figure

from crosscurrent.postprocess.pictures.study.data import DesignAt
from crosscurrent.postprocess.pictures.study.looks import (
    best_words,
    chosen,
    clear_of_each_other,
    crossings,
    row_above,
    tally,
    throughout,
)  # fmt: skip


def test_crossings_lie_where_a_straight_line_does():
    assert crossings(np.array([1.0, 3.0, 5.0]), np.array([-1.0, 1.0, -3.0]), by_ratios=False) == [2.0, 3.5]
    assert crossings(np.array([1.0, 4.0]), np.array([-1.0, 1.0]), by_ratios=True) == pytest.approx([2.0])
    assert crossings(np.zeros(0), np.zeros(0), by_ratios=False) == []


def test_the_best_in_words():
    designs = along(over_gap("copper"), best=DesignAt(0, 3))
    assert best_words(designs) == ["best: copper, gap 4 mm (157 thou): loss 80 W/m, inductance 200 nH/m"]
    assert best_words(along(over_gap())) == []


def test_counts():
    assert tally(along(over_gap(faults=2), over_gap())) == (18, 10, 2)
    assert tally(along()) == (0, 0, 0)


def test_who_keeps_a_limit():
    assert throughout(along(over_gap(count=1)), 0) == "kept throughout"
    assert throughout(along(), 0) == "not known"


def test_the_group_of_the_best_is_shown():
    groups = [over_gap(str(k)) for k in range(5)]
    assert chosen(along(*groups, best=DesignAt(4, 0)), 3) == [0, 1, 4]
    assert chosen(along(*groups), 3) == [0, 1, 2]


def test_of_two_texts_at_one_place_the_first_stays():
    axes = Figure().add_subplot()
    clear_of_each_other([axes.text(0.5, 0.5, "best"), axes.text(0.5, 0.5, "100"), axes.text(0.9, 0.9, "200")])
    assert [t.get_text() for t in axes.texts] == ["best", "200"]


def test_texts_in_a_row_do_not_repeat_themselves():
    axes = Figure(figsize=(6, 4)).add_subplot()
    row_above(axes, [0.5, 0.5, 0.51, 0.9], ["1", "best", "1", "1"], 0.3)
    assert sorted(t.get_text() for t in axes.texts) == ["1", "1", "best"]
