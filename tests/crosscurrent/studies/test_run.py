"""A whole study of a small case: designs, the best, edges, how flat it is."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from study_cases import FOILS, ROD, STACK, written

from crosscurrent.casefile.case import Case
from crosscurrent.solver.metals.depth import skin_depth
from crosscurrent.studies.conduct import study
from crosscurrent.studies.plan import Question
from crosscurrent.studies.run import Study
from crosscurrent.studies.shown import pictures
from crosscurrent.studies.trial import Trial, made, tried

VARIED = """
[limits]
mass = "4 kg/m"
[[vary]]
name = "size"
from = "10 mm"
to = "40 mm"
[[vary]]
name = "metal"
values = ["copper", "aluminium-1350"]
[study]
least = "resistance"
designs = 4
starts = 2
"""


@pytest.fixture(scope="module")
def found(tmp_path_factory: pytest.TempPathFactory) -> Study:
    return study(written(tmp_path_factory.mktemp("study"), ROD + VARIED))


def test_the_best_inside_the_limit(found: Study) -> None:
    """Aluminium carries twice as much per mass: within 4 kg/m the larger rod of it, at the end of its range."""
    assert found.best is not None
    assert found.best.values["metal"] == "aluminium-1350"
    assert found.best.values["size"] == pytest.approx(0.04, rel=1e-3)
    assert (found.best.verdict, dict(found.edges)) == ("pass", {"size": "high"})


def test_what_lies_near_the_best(found: Study) -> None:
    less, more = found.nearby["size"]
    assert more is None
    assert less is not None
    assert found.best is not None
    ratio = less.figures["resistance_ohm_per_m"] / found.best.figures["resistance_ohm_per_m"]
    assert ratio == pytest.approx(1 / 0.81, rel=1e-6)


def test_every_alternative_is_spread(found: Study) -> None:
    sizes = {round(d.values["size"], 12) for d in found.designs if d.values["metal"] == "copper"}
    assert {0.01, 0.02, 0.03, 0.04} <= sizes
    assert sum(d.verdict == "fail" for d in found.designs) >= 1


def test_its_repr_is_one_line_with_the_best(found: Study) -> None:
    text = repr(found)
    assert text.startswith("<Study of <Case ")
    assert "'metal': 'aluminium-1350'" in text
    assert len(text) < 300


def test_as_a_frame(found: Study) -> None:
    frame = found.to_dataframe()
    assert len(frame) == len(list(found.designs))
    assert {"size", "metal", "resistance_ohm_per_m", "resistance_ohm_per_m_error", "verdict"} <= set(frame.columns)


def test_orders(tmp_path: Path) -> None:
    found = study(written(tmp_path, STACK))
    assert len(list(found.designs)) == 90
    assert found.best is not None
    assert found.best.figures["loss_w_per_m"] == min(d.figures["loss_w_per_m"] for d in found.designs)


TWO = '[study]\nleast = ["loss", "inductance"]\n'


def test_orders_by_two_figures(tmp_path: Path) -> None:
    """Every order that none beats in both is on the front, but for those that are all but beaten."""
    found = study(written(tmp_path, STACK + TWO))
    every = [(d.figures["loss_w_per_m"], d.figures["inductance_h_per_m"]) for d in found.designs]
    assert found.front[0].figures["loss_w_per_m"] == pytest.approx(min(loss for loss, _ in every), rel=1e-9)
    assert found.front[-1].figures["inductance_h_per_m"] == min(henries for _, henries in every)
    for design in found.front:
        loss, henries = design.figures["loss_w_per_m"], design.figures["inductance_h_per_m"]
        assert not any(w < loss and h < henries for w, h in every)
    assert list(pictures(found)) == ["orders", "trade-off"]


def test_beside_orders_a_trade_off_takes_each_design_in_the_best_order_for_either(tmp_path: Path) -> None:
    gaps = '[[vary]]\nname = "between"\nvalues = ["5 mm", "10 mm"]\n'
    text = '[named]\nbetween = "10 mm"\n' + STACK.replace('gap = "10 mm"', 'gap = "between"')
    found = study(written(tmp_path, text + gaps + TWO))
    assert len(list(found.designs)) == 4
    for gap in (0.005, 0.010):
        alone = study(written(tmp_path, STACK.replace('gap = "10 mm"', f'gap = "{gap * 1e3:g} mm"') + TWO))
        own = [d for d in found.designs if d.values["between"] == pytest.approx(gap)]
        for figure in ("loss_w_per_m", "inductance_h_per_m"):
            wanted = min(d.figures[figure] for d in alone.designs)
            assert min(d.figures[figure] for d in own) == pytest.approx(wanted, rel=1e-6)
    assert len({d.values["order"] for d in found.designs}) > 1


def test_interleaving_is_found_by_itself(tmp_path: Path) -> None:
    """Four foils, out and back: no two of one circuit in a row count their ampere turns up, as in any transformer.

    A foil between the fields H1 and H2 of both sides loses Re g / sigma ((H1^2 + H2^2) coth g t - 2 H1 H2 / sinh g t)
    per area, g = (1 + j) / depth (one-dimensional diffusion, exact but for the edges).
    """
    found = study(written(tmp_path, FOILS))
    losses = {str(d.values["order"]): d.figures["loss_w_per_m"] for d in found.designs}
    assert len(losses) == 6
    g, sigma, width = (1 + 1j) / skin_depth(1e4, 58e6), 58e6, 0.3

    def lost(order: str) -> float:
        field = np.cumsum([0.0, *(50 if name == "out" else -50 for name in order.split(" "))]) / width
        each = (field[1:] ** 2 + field[:-1] ** 2) / np.tanh(g * 5e-4) - 2 * field[1:] * field[:-1] / np.sinh(g * 5e-4)
        return float((g / sigma * each.sum()).real * width)

    for order, loss in losses.items():
        assert loss == pytest.approx(lost(order), rel=0.01)
    assert found.best is not None
    best = str(found.best.values["order"]).split(" ")
    assert set(best[:2]) == set(best[2:]) == {"out", "back"}
    assert lost(" ".join(best)) == pytest.approx(min(map(lost, losses)), rel=1e-9)
    assert losses["out out back back"] > 1.1 * losses[" ".join(best)]


def test_searches_along_a_range_by_two_figures_of_orders(tmp_path: Path) -> None:
    """Against all orders of a grid over the range: the ends of the front are the least of both, nothing beats it."""
    gap = '[[vary]]\nname = "between"\nfrom = "0.2 mm"\nto = "3 mm"\n'
    wanted = '[study]\nleast = ["loss", "inductance"]\ncircuit = "out"\ndesigns = 4\nstarts = 1\n'
    found = study(written(tmp_path, FOILS + gap + wanted))
    assert set(found.ways) == {"loss", "inductance"}
    grid = []
    for millimetres in np.geomspace(0.2, 3.0, 4):
        text = FOILS.replace('between = "0.3 mm"', f'between = "{millimetres:.6f} mm"')
        alone = study(written(tmp_path, text + wanted.split("designs")[0]))
        grid += [(d.figures["loss_w_per_m"], d.figures["inductance_h_per_m"]) for d in alone.designs]
    front = [(d.figures["loss_w_per_m"], d.figures["inductance_h_per_m"]) for d in found.front]
    span = np.ptp(np.array(grid), axis=0)
    assert (np.min(front, axis=0) <= np.min(grid, axis=0) + 0.005 * span).all()
    for one in front:
        assert not (np.array(grid) < np.array(one) - 0.01 * span).all(axis=1).any()
    for design in found.front:
        orders = found.plan.question.orders
        again = tried(Trial(made(found.source, design.values, orders), {}, Question(("loss",), 1e4, "out")))
        for key in ("loss_w_per_m", "inductance_h_per_m"):
            assert design.figures[key] == pytest.approx(again.figures[key], abs=2 * again.errors[key])


def two_rods(size: float, metal: str) -> Case:
    """For a study of a function."""
    from crosscurrent.api import case, circuit, conductor

    rod = conductor("rod", "round", material=metal, diameter=f"{size} mm")
    return case("rod", rod, circuit("feed", "1 A", out=["rod"]), at=["0 Hz"])


def test_a_function_and_a_trade_off() -> None:
    over = {"size": (10.0, 20.0), "metal": ["copper", "aluminium-1350"]}
    found = study(two_rods, over, least=("resistance", "mass"), designs=2, starts=1)
    assert repr(found).startswith("<Study of two_rods: best {")
    masses = [d.figures["mass_kg_per_m"] for d in found.front]
    assert masses == sorted(masses, reverse=True)
    assert {d.values["metal"] for d in found.front} == {"copper", "aluminium-1350"}
