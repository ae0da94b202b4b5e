"""Answers of many frequencies at once are those of each by itself, whatever the blocks they are worked out in."""

from __future__ import annotations

import numpy as np
import pytest
from common import metal

from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.shapes import bar, round_bar, tube
from crosscurrent.postprocess.answers import sweep_answers as module
from crosscurrent.postprocess.answers.answers import Answers, answers
from crosscurrent.postprocess.answers.faces import PeakReader
from crosscurrent.postprocess.answers.sweep_answers import sweep_answers
from crosscurrent.solver.band.sweep import Sweep, sweep
from crosscurrent.solver.field.problem import Circuit, Conductor, Problem
from crosscurrent.solver.field.solve import solve
from crosscurrent.solver.metals.strands import Lay, Strands

FREQUENCIES = (0.0, 50.0, 2e3, 80e3)


@pytest.fixture(scope="module")
def found() -> Sweep:
    """A silvered bar and a tube, go and return."""
    silvered = Conductor(Part("bar", bar(0.02, 0.004), (50e-6,)), metal(58e6), coats=(metal(62e6),))
    pipe = Conductor(Part("pipe", tube(0.01, 0.002).placed((0.0, 0.012))), metal(35e6))
    return sweep(Problem((silvered, pipe), (Circuit("feed", 100.0, ("bar",), ("pipe",)),)), FREQUENCIES, accuracy=1e-2)


def figures(point: Answers) -> list[float | None]:
    """What is read from the fields, and something of what is not."""
    found: list[float | None] = [point.frequency, point.total_loss, point.circuits["feed"].inductance]
    for c in point.conductors.values():
        found += [c.loss, c.peak_current_density, c.loss_error]
        found += [value for f in c.faces for value in (f.current_share, f.loss_share, f.depth)]
    return found


@pytest.mark.parametrize("at_once", [1, 10**9])
def test_answers_are_those_of_each_frequency_by_itself(
    found: Sweep, monkeypatch: pytest.MonkeyPatch, at_once: int
) -> None:
    monkeypatch.setattr(module, "AT_ONCE", at_once)
    order = [2, 0, 3, 1]
    for number, together in zip(order, sweep_answers(found, order), strict=True):
        alone = answers(found.solution(number))
        assert figures(together) == pytest.approx(figures(alone), rel=1e-9, abs=1e-15)
        assert [c.sentence for c in together.conductors.values()] == [c.sentence for c in alone.conductors.values()]


def test_no_frequency_no_answer(found: Sweep) -> None:
    assert list(sweep_answers(found, [])) == []


def test_direct_current_has_the_density_of_the_current_over_the_area(found: Sweep) -> None:
    """J = I sigma / (sigma_1 A_1 + sigma_2 A_2) in each metal of the bar."""
    (point,) = sweep_answers(found, [0])
    inside, silver = 0.02 * 0.004, 2 * (0.02 + 0.004) * 50e-6 + np.pi * 50e-6**2  # a coat is round at corners
    wanted = 100 * 62e6 / (58e6 * inside + 62e6 * silver)
    assert point.conductors["bar"].peak_current_density == pytest.approx(wanted, rel=1e-6)


def test_the_largest_density_is_that_of_all_places_looked_at(found: Sweep) -> None:
    """Triangles left out by their bound hold nothing larger: all of them, far more closely."""
    d, fields = found.fine.model.discretisation, found.fine.electric_fields([1, 3])
    steps = np.linspace(0, 1, 9)
    places = np.array([(x, y) for x in steps for y in steps if x + y <= 1])
    every = np.abs(d.elements.value(fields, d.elements.metal, places) * d.sigma[:, None]).max(axis=(1, 2))
    regions = range(len(d.mesh.regions))
    assert PeakReader.of(d, regions).read(fields.T) == pytest.approx(every, rel=1e-12)


def test_single_strands_are_those_of_each_frequency_by_itself() -> None:
    """Straight ones beside a rod: from the reduced model, from its fields, and solved for."""
    strands = Strands(61, 2e-4, lay="straight", gathered=True)
    lead = Conductor(Part("lead", round_bar(2e-3)), metal(58e6), strands=strands)
    rod = Conductor(Part("rod", round_bar(1e-3).placed((2.5e-3, 0.4e-3))), metal(58e6))
    problem = Problem((lead, rod), (Circuit("feed", 1.0, ("lead",), ("rod",)),))
    found = sweep(problem, [0.0, *np.geomspace(2e3, 5e4, 3)], accuracy=1e-2)
    for number, point in zip([3, 0], sweep_answers(found, [3, 0]), strict=True):
        single = answers(solve(problem, float(found.frequency[number]), accuracy=1e-2)).bundles["lead"]
        for other, near in ((answers(found.solution(number)).bundles["lead"], 1e-4), (single, 2e-3)):
            one = point.bundles["lead"]
            ends = (one.strand_current_low, one.strand_current_high)
            size = other.strand_current_high
            assert ends == pytest.approx((other.strand_current_low, size), abs=near * size)
            assert one.strand_high_at == other.strand_high_at
        assert number == 0 or 0 < one.strand_current_error < 0.05 * one.strand_current_high


@pytest.mark.parametrize("lay", ["transposed", "concentric"])
def test_densities_in_strands_of_even_lay_are_those_of_each_frequency_by_itself(lay: Lay) -> None:
    """Fields of all frequencies read at once, one by one, and solved for."""
    lead = Conductor(Part("lead", round_bar(2e-3)), metal(58e6), strands=Strands(61, 2e-4, lay=lay))
    rod = Conductor(Part("rod", round_bar(1e-3).placed((2.5e-3, 0.4e-3))), metal(58e6))
    problem = Problem((lead, rod), (Circuit("feed", 1.0, ("lead",), ("rod",)),))
    found = sweep(problem, [0.0, *np.geomspace(2e3, 5e4, 3)], accuracy=1e-3)
    for number, point in zip([3, 0], sweep_answers(found, [3, 0]), strict=True):
        peak = point.conductors["lead"].peak_current_density
        assert peak == pytest.approx(answers(found.solution(number)).conductors["lead"].peak_current_density, rel=1e-9)
        single = answers(solve(problem, float(found.frequency[number]), accuracy=1e-3))
        assert peak == pytest.approx(single.conductors["lead"].peak_current_density, rel=1e-3)
