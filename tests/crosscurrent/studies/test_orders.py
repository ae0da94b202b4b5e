"""All orders of phases from one matrix, against separate solves of some."""

from __future__ import annotations

from math import factorial
from pathlib import Path

import numpy as np
import pytest
from study_cases import STACK, written

from crosscurrent.run import solve_case
from crosscurrent.studies.orders import every_order, orders_of, rewired_case
from crosscurrent.studies.plan import Orders, Question
from crosscurrent.studies.trial import Trial, made, tried

ASKED = Orders("bar", ("L1", "L2", "L3"))


def test_every_order_once() -> None:
    found = [order.circuits for order in orders_of(ASKED, 6)]
    assert len(found) == len(set(found)) == factorial(6) // 2**3
    assert all(sorted(order) == ["L1", "L1", "L2", "L2", "L3", "L3"] for order in found)


def test_against_separate_solves(tmp_path: Path) -> None:
    """Interleaving is found by itself; separate solves of the best and the worst order have the same figures."""
    case = written(tmp_path, STACK)
    solution = solve_case(case).solutions[50.0]
    found = sorted(every_order(case, solution, ASKED, "L2"), key=lambda one: one.figures["loss_w_per_m"])
    best, worst = found[0], found[-1]
    first = best.order.circuits
    assert sorted(first[:3]) == sorted(first[3:]) == ["L1", "L2", "L3"]
    for one in (best, worst):
        alone = solve_case(rewired_case(case, ASKED, one.order)).points[0]
        circuits = list(alone.circuits.values())
        wanted = alone.total_loss, circuits[1].resistance, circuits[1].inductance
        for key, value in zip(("loss_w_per_m", "resistance_ohm_per_m", "inductance_h_per_m"), wanted, strict=True):
            assert one.figures[key] == pytest.approx(value, abs=one.errors[key])
        currents = np.exp(2j * np.pi / 3 * np.array([0, -1, 1]))
        across = np.array([c.resistance + 2j * np.pi * 50 * c.inductance for c in circuits]) * currents
        z = (across - across.mean()) / currents
        assert one.figures["impedance_unbalance"] == pytest.approx(max(abs(z / z.mean() - 1)), rel=1e-3)
    assert worst.figures["loss_w_per_m"] > 1.3 * best.figures["loss_w_per_m"]


def test_within_a_design(tmp_path: Path) -> None:
    """The best order of each, its figures and slopes those of that order; limits are judged in it."""
    case = written(tmp_path, STACK + '[limits]\nloss = "300 W/m"\n')
    question = Question(("loss",), 50.0, "L1", ASKED)
    thick = "bar.thickness"
    found = {t: tried(Trial(case, {thick: t}, question, (thick,))) for t in (0.0499, 0.05, 0.0501)}
    design = found[0.05]
    thinner = made(case, {thick: 0.05})
    every = list(every_order(thinner, solve_case(thinner).solutions[50.0], ASKED, "L1"))
    least = min(every, key=lambda one: one.figures["loss_w_per_m"])
    assert design.figures["loss_w_per_m"] == pytest.approx(least.figures["loss_w_per_m"], rel=1e-9)
    assert design.margins["loss"] == pytest.approx(design.figures["loss_w_per_m"] / 300 - 1, abs=2e-3)
    again = tried(Trial(made(case, design.values, ASKED), {}, Question(("loss",), 50.0, "L1")))
    for key, value in again.figures.items():
        assert design.figures[key] == pytest.approx(value, abs=again.errors[key] + 1e-9)
    low, high = (found[t].figures["loss_w_per_m"] for t in (0.0499, 0.0501))
    assert design.slopes["loss_w_per_m"][thick] == pytest.approx((high - low) / 0.0002, rel=5e-3)
