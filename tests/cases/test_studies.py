"""The shipped studies give what they state, with fewer designs; checks that need no field solve beside them."""

from __future__ import annotations

import math

import pytest
from shipped_cases import CASES, solved

from crosscurrent.casefile.reader import read_case
from crosscurrent.solver.metals.depth import skin_depth
from crosscurrent.studies.conduct import study
from crosscurrent.studies.reading import plan_of
from crosscurrent.studies.search import Search, searched
from crosscurrent.studies.trial import Trial, tried


def test_order_of_phases() -> None:
    found = study(CASES / "phase-order.toml")
    assert found.best is not None
    order = str(found.best.values["order"]).split()
    assert order == order[::-1]  # mirrored
    assert found.best.figures["loss_w_per_m"] == pytest.approx(135.9, rel=1e-3)
    assert max(d.figures["loss_w_per_m"] for d in found.designs) == pytest.approx(221.4, rel=1e-3)


def test_count_of_bars() -> None:
    losses = {d.values["count"]: d.figures["loss_w_per_m"] for d in study(CASES / "bar-count.toml").designs}
    assert min(losses, key=losses.__getitem__) == 2
    assert (losses[2], losses[6]) == (pytest.approx(335.7, rel=1e-3), pytest.approx(391.6, rel=1e-3))
    copper = 2 * 4000**2 * (1 + 0.00393 * 45) / (58e6 * 0.04 * 0.1)  # at direct current, IEC 60028
    assert all(1 < loss / copper < 2.5 for loss in losses.values())


def test_thickness_of_silver() -> None:
    """Near pi/2 skin depths of silver, where a coat on a poor conductor has the least resistance."""
    case = read_case(CASES / "plating-thickness.toml")
    plan = plan_of(case)
    way = searched(Search(case, {}, plan.ranges, plan.question, "resistance", (0.6,)))
    best = min(way, key=lambda d: d.figures["resistance_ohm_per_m"])
    assert best.figures["resistance_ohm_per_m"] == pytest.approx(23.71e-3, rel=1e-3)
    assert best.values["coat"] == pytest.approx(math.pi / 2 * skin_depth(13.56e6, 62.1e6), rel=0.05)


def test_gap_and_thickness() -> None:
    """At the border of the limit on inductance, where L is nearly mu0 (gap + skin) over the width."""
    case = read_case(CASES / "feed-choice.toml")
    plan = plan_of(case)
    start = tuple(r.share(v) for r, v in zip(plan.ranges, (0.0018, 0.0005), strict=True))
    way = searched(Search(case, {}, plan.ranges, plan.question, "loss", start))
    best = min((d for d in way if d.verdict == "pass"), key=lambda d: d.figures["loss_w_per_m"])
    assert best.figures["loss_w_per_m"] == pytest.approx(1208, rel=2e-3)
    assert best.figures["inductance_h_per_m"] == pytest.approx(25e-9, rel=2e-3)
    assert best.values["gap"] == pytest.approx(1.85e-3, rel=0.02)


def test_wall_of_the_tubes() -> None:
    case = read_case(CASES / "tube-wall.toml")
    question = plan_of(case).question
    walls = (0.00033, 0.00037, 0.00041)
    less, best, more = (tried(Trial(case, {"wall": w}, question)).figures["loss_w_per_m"] for w in walls)
    assert best == pytest.approx(3227, rel=2e-3)
    assert 1.003 * best < less < 1.02 * best
    assert 1.002 * best < more < 1.02 * best


def test_tolerances_of_the_feed() -> None:
    chapter = next(c for c in solved("feed-tolerance").chapters if c.key == "tolerance")
    words = " ".join(chapter.sentences)
    assert "R of feed at 85 kHz is 1.523 to 1.645 mohm/m" in words
    assert "L of feed at 85 kHz is 12.68 to 17.69 nH/m" in words
    # wide plates: dL / dgap = mu0 / width, for 0.2 mm of 100 mm
    assert pytest.approx(4e-7 * math.pi * 0.2 / 100 * 1e9, rel=0.01) == (17.69 - 12.68) / 2
