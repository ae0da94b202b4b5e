"""What bundles answer: words, figures by strand, and the warning of groups that are too large."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.shapes import bar, round_bar
from crosscurrent.postprocess.answers.answers import Answers, answers
from crosscurrent.postprocess.answers.bundle_sums import share_by_lay, summed, whole_conductors
from crosscurrent.postprocess.answers.bundles import in_words, where
from crosscurrent.postprocess.answers.tables import cause_table, conductor_table, sentences
from crosscurrent.postprocess.answers.validity import ValidityWatch
from crosscurrent.postprocess.files.read import read_document
from crosscurrent.postprocess.files.results import Heading, as_json, rows
from crosscurrent.postprocess.topics.bundles import by_cause
from crosscurrent.postprocess.topics.cooling import CoolingAnswer
from crosscurrent.postprocess.topics.cooling import sentences as cooling_sentences
from crosscurrent.solver.field.problem import Bound, Circuit, Conductor, Problem
from crosscurrent.solver.field.solution import DirectSolution
from crosscurrent.solver.field.solve import solve
from crosscurrent.solver.heat.ampacity import Rating
from crosscurrent.solver.metals.materials import MATERIALS
from crosscurrent.solver.metals.strand_layout import rings, strand_places
from crosscurrent.solver.metals.strands import Strands
from tests.multipoles import impedance

COPPER = MATERIALS["copper"]


@pytest.fixture(scope="module")
def solution() -> DirectSolution:
    """5 x 84 strands beside a bar, back through seven strands that are solved for."""
    lead = Conductor(Part("lead", round_bar(3e-3)), COPPER, strands=Strands(420, 1e-4, take_up=1.04, levels=(5, 84)))
    rail = Conductor(Part("bar", bar(10e-3, 2e-3).placed((0.0, -4e-3))), COPPER)
    names = tuple(f"back.{k}" for k in range(1, 8))
    strands = [
        Conductor(Part(name, round_bar(0.8e-3).placed((x * 1e-3 + 6e-3, y * 1e-3))), COPPER)
        for name, (x, y) in zip(names, strand_places(7, "hexagonal"), strict=True)
    ]
    circuit = Circuit("feed", 40 + 0j, ("lead",), names)
    bundle = Bound("back", names, "concentric", rings(7, "hexagonal"))
    return solve(Problem((lead, rail, *strands), (circuit,), bundles=(bundle,)), 85e3)


@pytest.fixture(scope="module")
def found(solution: DirectSolution) -> Answers:
    return answers(solution)


def test_figures_by_strand(found: Answers) -> None:
    lead, back = found.bundles["lead"], found.bundles["back"]
    assert (lead.strands, lead.is_resolved, back.strands, back.is_resolved) == (420, False, 7, True)
    assert lead.strand_current_high == pytest.approx(40 / 420, rel=1e-6)
    assert back.strand_current_low < 40 / 7 < back.strand_current_high
    assert found.conductors["lead"].mean_current_density == pytest.approx(40 / (420 * 7.853981634e-9), rel=1e-6)
    assert found.conductors["lead"].peak_current_density > found.conductors["lead"].mean_current_density
    assert lead.dc_loss == pytest.approx(1600 * 1.04 / (58e6 * 420 * 7.853981634e-9), rel=1e-6)
    for bundle in (lead, back):
        parts = (bundle.skin_loss, bundle.sharing_loss, bundle.inside_loss, bundle.outside_loss, bundle.crossed_loss)
        assert sum(part or 0.0 for part in parts) == pytest.approx(bundle.loss, rel=1e-9)


def test_a_bundle_of_resolved_strands_sums_up_under_its_own_name(found: Answers) -> None:
    (back,) = summed(found)
    strands = [found.conductors[f"back.{k}"] for k in range(1, 8)]
    assert back.name == "back"
    assert back.current == pytest.approx(-40, rel=1e-9)
    assert back.loss == pytest.approx(sum(c.loss for c in strands), rel=1e-12)
    assert back.dc_resistance == pytest.approx(strands[0].dc_resistance / 7, rel=1e-6)
    assert [c.name for c in whole_conductors(found)] == ["lead", "bar", "back"]
    assert [row[0] for row in conductor_table(found).rows] == ["lead", "bar", "back"]
    listed = {(row["kind"], row["name"]) for row in rows([found])}
    assert {("conductor", "back"), ("conductor", "back.7"), ("bundle", "lead"), ("bundle", "back")} <= listed


def test_currents_that_keep_to_a_limit_count_the_lay(found: Answers) -> None:
    """With the heat of before: less by the root of what groups that are only twisted lose more."""
    most = share_by_lay(found)
    lead = found.bundles["lead"]
    assert lead.loss_high is not None
    assert most == lead.loss_high / lead.loss > 1
    rated = CoolingAnswer(85e3, (), None, why="too hot", largest=Rating(90.0, 0.5, 0.4, 0.6))
    said = next(line for line in cooling_sentences(rated, found) if "0.5 times" in line)
    assert f"(0.4 to 0.6; as bundles are laid it may be {0.4 / most**0.5:.3g})" in said


def test_written_and_read_back(found: Answers) -> None:
    text = as_json(Heading("a lead", "1", "0"), [found])
    again = read_document(text, "results.json")[1][0]
    assert again.bundles == found.bundles
    assert again.conductors.keys() == found.conductors.keys()
    assert as_json(Heading("a lead", "1", "0"), [again]) == text


def test_words(found: Answers) -> None:
    lead, back = found.bundles["lead"], found.bundles["back"]
    assert where(lead) == "evenly over its 420 strands, 95.24 mA each"
    assert where(back).startswith("over its 7 strands ring by ring, from ")
    ends = {"strand_current_low": 0.02, "strand_current_high": 0.4, "lay": "straight"}
    uneven = replace(lead, **ends, strand_current_error=0.03, strand_high_at=(1.5e-3, -2e-3))
    assert where(uneven) == (
        "over its 420 strands as the field lets each, from less than 50 mA to 400 mA +- 30 mA, the most 4.2 times the "
        "mean, in the strand at (1.5, -2) mm"
    )
    middle = where(replace(uneven, strand_high_at=(0.8701e-3, -4.066e-20)))
    assert middle.endswith("in the strand at (0.8701, 0) mm")
    assert where(replace(uneven, strand_current_error=0.39)).startswith(
        "over its 420 strands as the field lets each, up to 400 mA +- 390 mA, the most 4.2 times the mean"
    )  # less than 410 mA would say nothing
    assert where(replace(lead, current=0j, strand_current_high=0.0)).startswith("no net current")
    causes, band = in_words(lead)
    assert " of its loss is that of direct current, " in causes
    only = "more if groups of 84 strands are only twisted"
    assert band.endswith(f" {only}; temperatures count the former")
    assert any(line.startswith("back: over its 7 strands") for line in sentences(found))
    assert [line.split(":")[0] for line in by_cause(found)] == ["back at 85 kHz", "lead at 85 kHz", "lead at 85 kHz"]
    table = cause_table(found)
    assert table is not None
    assert [row[0] for row in table.rows] == ["lead", "back"]


def test_a_group_larger_than_the_rule_is_warned_of_with_the_size_that_would_do(solution: DirectSolution) -> None:
    """4 depth^2 / diameter^2 = 20 at 85 kHz for 0.1 mm (Sullivan and Zhang 2014, from memory)."""
    (warning,) = (w for w in ValidityWatch().warnings(solution) if w.about == "lead")
    assert warning.text.startswith('84 strands of "lead" are twisted into one group, where 20 may be at 85 kHz')
    assert ", and so many up to 20.8 kHz (4 skin depths squared" in warning.text
    assert "from groups of 20 or fewer" in warning.text


def test_strands_that_lie_askew_say_what_the_rule_of_the_trade_has_more() -> None:
    """That rule: take-up times what straight strands lose, here by multipoles of 19 of them."""
    longer, strand, pitch = 1.06, 4e-4, 4.8e-4
    names, places = tuple(f"lead.{k}" for k in range(19)), pitch * strand_places(19, "hexagonal")
    along = replace(COPPER, conductivity=COPPER.conductivity / longer)
    wires = tuple(
        Conductor(Part(name, round_bar(strand).placed((x, y))), along)
        for name, (x, y) in zip(names, places.tolist(), strict=True)
    )
    bundle = Bound("lead", names, "transposed", (0,) * 19, longer)
    problem = Problem(wires, (Circuit("feed", 1 + 0j, names, ()),), bundles=(bundle,))
    told = answers(solve(problem, 85e3)).bundles["lead"]
    rule = longer * impedance(places @ [1, 1j], [list(range(19))], strand, COPPER.conductivity, 85e3)[0, 0].real
    (line,) = (line for line in in_words(told) if "askew" in line)
    more = float(line.split("up to ")[1].split(" %")[0]) / 100
    assert 0.75 * more < rule / told.loss - 1 < more
    assert not any("askew" in line for line in in_words(replace(told, take_up=1.0)))


@pytest.mark.parametrize("each", [12, 30])
def test_seven_groups_at_once_are_warned_of_as_such(each: int) -> None:
    """One of them lies in the middle; smaller bunches would not change that."""
    strands = Strands(7 * each, 1e-4, levels=(7, each))
    lead = Conductor(Part("lead", round_bar(math.sqrt(7 * each) * 0.145e-3)), COPPER, strands=strands)
    solution = solve(Problem((lead,), (Circuit("feed", 40 + 0j, ("lead",), ()),)), 85e3)
    (warning,) = (w for w in ValidityWatch().warnings(solution) if w.about == "lead")
    assert warning.text.startswith(f'7 groups of {each} strands of "lead" are twisted together at once, some of them')
    assert "; strand five groups or fewer at a time" in warning.text
    assert warning.text.endswith("; bunch 20 strands or fewer, not 30") == (each == 30)
    (line,) = (line for line in in_words(answers(solution).bundles["lead"]) if "twisted" in line)
    assert f"more if groups of {each} strands are only twisted together 7 at a time; " in line


@pytest.mark.parametrize("below", [4e-3, 20e-3])
def test_forces_balance(below: float) -> None:
    """Close by from Maxwell's stress, far away from the field of the others at its currents; a third stands by."""
    lead = Conductor(Part("lead", round_bar(3e-3)), COPPER, strands=Strands(420, 1e-4))
    rail = Conductor(Part("bar", bar(10e-3, 2e-3).placed((3e-3, -below))), COPPER)
    idle = Conductor(Part("idle", round_bar(3e-3).placed((20e-3, 4e-3))), COPPER, strands=Strands(420, 1e-4))
    force = solve(Problem((lead, rail, idle), (Circuit("feed", 40 + 0j, ("lead",), ("bar",)),)), 85e3).fine.force
    assert abs(force.sum(axis=0)).max() < 1e-6 * abs(force).max()
