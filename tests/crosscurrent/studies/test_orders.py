"""All orders of phases from one matrix, against separate solves of some."""

from __future__ import annotations

from math import factorial
from pathlib import Path

import pytest
from study_cases import STACK, written

from crosscurrent.run import solve_case
from crosscurrent.studies.orders import Order, ordered, orders_of, rewired_case
from crosscurrent.studies.plan import Orders, Question

ASKED = Orders("bar", ("L1", "L2", "L3"))


def test_every_order_once() -> None:
    found = [order.circuits for order in orders_of(ASKED, 6)]
    assert len(found) == len(set(found)) == factorial(6) // 2**3
    assert all(sorted(order) == ["L1", "L1", "L2", "L2", "L3", "L3"] for order in found)


def test_against_separate_solves(tmp_path: Path) -> None:
    """Interleaving is found by itself; a separate solve of the best and the worst order has the same loss."""
    case = written(tmp_path, STACK)
    solution = solve_case(case).solutions[50.0]
    every = ordered(case, solution, ASKED, Question(("loss",), 50.0, "L1"))
    found = sorted(every, key=lambda d: d.figures["loss_w_per_m"])
    best, worst = found[0], found[-1]
    first = best.values["order"].split()
    assert sorted(first[:3]) == sorted(first[3:]) == ["L1", "L2", "L3"]
    for design in (best, worst):
        alone = solve_case(rewired_case(case, ASKED, Order(tuple(design.values["order"].split()))))
        assert design.figures["loss_w_per_m"] == pytest.approx(
            alone.points[0].total_loss, abs=design.errors["loss_w_per_m"]
        )
    assert worst.figures["loss_w_per_m"] > 1.3 * best.figures["loss_w_per_m"]
