"""What a study says, from designs made by hand."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from crosscurrent.api import case, circuit, conductor
from crosscurrent.casefile.case import Case
from crosscurrent.casefile.tables.limits import LimitsTable
from crosscurrent.postprocess.pictures.study.data import StudyScale
from crosscurrent.postprocess.pictures.study.scales import words
from crosscurrent.studies.design import Design
from crosscurrent.studies.plan import Alternative, Choice, Plan, Question, Range
from crosscurrent.studies.run import Study, best_of
from crosscurrent.studies.words import figure, sentences, tables, unit

ROD = conductor("rod", "round", material="copper", diameter="25 mm")
CASE = case("rod", ROD, circuit("feed", "1 A", out=["rod"]), at=["50 Hz"])
GAP, METAL = Range("gap", 0.001, 0.009, "length"), Choice("metal", (Alternative("copper", {"metal": "copper"}),))
PLAN = Plan((GAP,), (METAL,), None, Question(("loss",), 50.0, "feed"), None, 4)


def _design(gap: float, loss: float, verdict: str = "pass", margins: Mapping[str, float] | None = None) -> Design:
    figures = {"loss_w_per_m": loss} if loss else {}
    values = {"gap": gap, "metal": "copper"}
    fault = "" if loss else "no"
    return Design(f"{gap}", values, figures, {"loss_w_per_m": 1e-3 * loss}, {}, margins or {}, verdict, fault)


def test_the_best_first() -> None:
    designs = [_design(0.001, 90.0), _design(0.003, 80.0), _design(0.005, 70.0, "fail"), _design(0.007, 0.0)]
    best = best_of(designs, PLAN.question)
    nearby = {"gap": (_design(0.0027, 82.0), _design(0.0033, 79.2, "fail"))}
    lines = list(sentences(Study(CASE, PLAN, designs, best, nearby=nearby, searches=4)))
    assert lines == [
        "Least loss at 50 Hz: 80.00 W/m +- 0.1 % with gap 3 mm, metal copper; inside all limits",
        "gap: 10 % less costs 2.5 %, 10 % more saves 1 % and leaves the limits",
        "4 designs tried, the best looked for from 4 starts along the slopes of the field, 1 fail, 1 could not be "
        "solved (the first: no)",
    ]


def test_what_tolerances_do_is_left_to_the_best_design() -> None:
    rod = conductor("rod", "round", material="copper", diameter="25 mm +- 0.1 mm")
    toleranced = case("rod", rod, circuit("feed", "1 A", out=["rod"]), at=["50 Hz"])
    designs = [_design(0.003, 80.0)]
    first = next(iter(sentences(Study(toleranced, PLAN, designs, designs[0]))))
    assert first.endswith("; inside all limits, tolerances apart: best/ tells what they do")


def test_no_design_keeps_to_the_limits() -> None:
    designs = [_design(0.001, 90.0, "fail", {"loss": 0.2}), _design(0.003, 80.0, "fail", {"loss": 0.05, "mass": -0.1})]
    first = next(iter(sentences(Study(CASE, PLAN, designs, best_of(designs, PLAN.question)))))
    assert first == (
        "No design surely keeps to all limits; the nearest, with gap 3 mm, metal copper, breaks loss by 5 %"
    )


def test_limits_without_a_figure_say_what_they_need() -> None:
    limits = LimitsTable(mass="3 kg/m", loss="1 W/m")
    limited = Case(CASE.data.model_copy(update={"limits": limits}), CASE.source, CASE.path)
    open_, failed = {"loss": -0.2}, {"loss": 0.1, "mass": 1.0}
    designs = [_design(0.001, 90.0, "cannot tell", open_), _design(0.003, 80.0, "fail", failed)]
    lines = list(sentences(Study(limited, PLAN, designs, None)))
    assert lines[-1] == (
        "[limits] mass: nothing to judge by in 1 of 2 designs; it needs a density of every metal in [material]"
    )


def test_alternatives_side_by_side() -> None:
    designs = [_design(0.001, 90.0), _design(0.003, 80.0)]
    (table,) = tables(Study(CASE, PLAN, designs, designs[1]))
    assert (table.columns, table.rows) == (
        ("gap", "metal", "loss", "limits"), (("3 mm", "copper", "80.00 W/m +- 0.1 %", "pass"),))  # fmt: skip


def test_designs_that_print_alike_stand_once() -> None:
    aims = replace(PLAN, question=replace(PLAN.question, aims=("loss", "mass")))
    designs = [_design(gap, 1e5 * gap) for gap in (0.003, 0.0030000001, 0.005)]
    front = tuple(replace(d, figures={**d.figures, "mass_kg_per_m": 1.0}) for d in designs)
    (table,) = tables(Study(CASE, aims, front, front[0], front=front))
    assert [row[0] for row in table.rows] == ["3 mm", "5 mm"]


def test_a_table_of_some_says_so() -> None:
    aims = replace(PLAN, question=replace(PLAN.question, aims=("loss", "mass")))
    designs = [_design(1e-3 * (1 + k), 80.0 + k) for k in range(15)]
    front = tuple(replace(d, figures={**d.figures, "mass_kg_per_m": 1.0}) for d in designs)
    (table,) = tables(Study(CASE, aims, front, front[0], front=front))
    assert len(table.rows) == 10
    assert table.heading == "Trade-off: designs that no other one beats in both, some of 15"


def test_a_figure_below_its_bar_is_none() -> None:
    unsure = Design("1", {}, {"loss_w_per_m": 1e-14}, {"loss_w_per_m": 1e-12}, {}, {}, "pass", "")
    assert figure(unsure, "loss", PLAN) == "none"
    dear = replace(PLAN, question=replace(PLAN.question, currency="EUR"))
    assert figure(replace(unsure, figures={"cost_per_m": 12.5}), "cost", dear) == "12.5 EUR/m"


def test_tables_say_whose_inductance_where_circuits_are_several() -> None:
    rods = [conductor(name, "round", material="copper", diameter="25 mm", centre=(f"{30 * k} mm", "0 mm"))
            for k, name in enumerate(("a", "b"))]  # fmt: skip
    each = circuit("feed", "1 A", out=["a"]), circuit("other_one", "1 A", out=["b"])
    design = replace(_design(0.003, 80.0), figures={"loss_w_per_m": 80.0, "inductance_h_per_m": 1e-7})
    two = case("rods", rods, each, at=["50 Hz"])
    plan = replace(PLAN, question=Question(("loss",), 50.0, "other_one"))
    headings = [next(tables(Study(one, plan, [design], design))).columns for one in (CASE, two)]
    assert headings == [("gap", "metal", "loss", "inductance", "limits"),
                        ("gap", "metal", "loss", "inductance of other_one", "limits")]  # fmt: skip


def test_waste_is_the_same_in_tables_and_pictures() -> None:
    wasted = replace(_design(0.001, 90.0), figures={"waste": 0.48189})
    assert figure(wasted, "waste", PLAN) == words(StudyScale("waste", unit("waste", PLAN)), 0.48189) == "48.19 %"
