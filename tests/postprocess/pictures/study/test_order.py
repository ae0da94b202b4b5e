"""Orders of phases: lettered cells, bars as long as their figures."""

import math
from itertools import permutations

import pytest
from made_designs import assert_same_bytes, assert_texts_stand_apart, said

from crosscurrent.postprocess.pictures.study.data import PhaseOrder, StudyScale
from crosscurrent.postprocess.pictures.study.order import order_figure

LOSS = StudyScale("loss", "W/m")
CELLS = sorted(set(permutations(("L1", "L2", "L3") * 2)))
ALL = [PhaseOrder(cells, 300.0 - k) for k, cells in enumerate(CELLS)]
LONG = [PhaseOrder(tuple("ABC") * 8, 3.0), PhaseOrder(("outgoing of the pier", "return", "$x$"), 1.0)]


@pytest.mark.parametrize("orders", [ALL[:3], ALL[:10], ALL[:11], LONG, [], [PhaseOrder(("A",), math.nan)]])
def test_texts_stand_apart(orders):
    assert_texts_stand_apart(order_figure(orders, LOSS, "Switchboard " * 9, "order of the phases " * 9))


def test_the_best_and_the_worst_five():
    figure = order_figure(ALL, LOSS, "Switchboard", "50 Hz")
    rows = [t.get_text() for t in figure.axes[0].texts]
    assert len(ALL) == 90
    assert [r for r in rows if r.endswith("W/m")] == [f"{v} W/m" for v in (*range(211, 216), *range(296, 301))]
    assert rows[:6] == list(CELLS[-1])
    assert "and 80 orders between them" in rows
    assert "90 orders: 211 W/m to 300 W/m, 42.2 % more" in said(figure)


def test_bars_are_as_long_as_their_figures():
    figure = order_figure(ALL, LOSS, "Switchboard", "50 Hz")
    bars = [p.get_width() for p in figure.axes[0].patches][6::7]
    assert [bar / bars[-1] for bar in bars] == pytest.approx([v / 300 for v in (*range(211, 216), *range(296, 301))])


def test_long_names_become_letters():
    notes = said(order_figure(LONG, LOSS, "Switchboard", ""))
    assert "A: $x$, B: A, C: B, D: C, E: outgoing of the pier, F: return" in notes


def test_orders_without_a_figure_are_said():
    notes = said(order_figure([*ALL[:3], PhaseOrder(("L1",), math.nan)], LOSS, "Switchboard", ""))
    assert "1 order with a fault, without this figure" in notes
    assert "no order has this figure" in said(order_figure([], LOSS, "Switchboard", ""))


def test_same_orders_same_bytes(tmp_path):
    assert_same_bytes(lambda: order_figure(LONG, LOSS, "Switchboard", "50 Hz"), tmp_path)
