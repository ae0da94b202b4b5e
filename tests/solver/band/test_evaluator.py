"""A section at other temperatures than it was solved at: against direct solves on the same mesh."""

from functools import cache

import common
import numpy as np
import pytest

from crosscurrent.solver.band.evaluator import Evaluator, at_temperature, evaluator
from crosscurrent.solver.field.problem import Circuit, Conductor, Problem
from crosscurrent.solver.field.solved_flow import SolvedFlow
from crosscurrent.solver.field.unit_fields import solve_fields
from crosscurrent.solver.metals.materials import MATERIALS

FREQUENCIES = [60.0, 4e3, 7e4]


def bar(name: str, y: float, metal: str) -> Conductor:
    return common.bar(name, 0.02, 0.004, 0.0, y, MATERIALS[metal])


@cache
def prepared(beside: str) -> Evaluator:
    """Go and return of copper above a bar that carries no net current, for 50 Hz to 100 kHz and 0 to 120 degC."""
    bars = (bar("out", 0, "copper"), bar("back", 0.008, "copper"), bar("beside", -0.012, beside))
    return evaluator(Problem(bars, (Circuit("feed", 100.0, ("out",), ("back",)),)), (50.0, 1e5), (0.0, 120.0))


@pytest.mark.parametrize("beside", ["copper", "steel"])
@pytest.mark.parametrize("temperature", [0.0, 63.0, 120.0])
def test_other_temperatures_agree_with_direct_solves(beside: str, temperature: float) -> None:
    found = prepared(beside).evaluate(FREQUENCIES, temperature)
    feed, d = found.problem.circuits[0], found.fine.model.discretisation
    assert all(c.temperature == temperature for c in found.problem.conductors)
    assert d.metals[0].conductivity == pytest.approx(MATERIALS["copper"].conductivity_at(temperature))
    for k, f in enumerate(FREQUENCIES):
        flow = SolvedFlow.of(found.problem, solve_fields(d, f, lifted=f > 1e3))
        exact = flow.circuit(feed) / feed.current
        assert found.fine.resistance(feed)[k] == pytest.approx(exact.real, rel=1e-6)
        assert found.fine.inductance(feed)[k] == pytest.approx(flow.inductance(feed), rel=1e-6)
        np.testing.assert_allclose(found.fine.losses[k], flow.powers.real, rtol=2e-5)
        # what the model may miss is said, and not many times too large
        missed = abs(found.fine.circuit(feed)[k] / feed.current - exact) * feed.current**2
        assert missed <= found.fine.reduction[k] + 1e-10 * abs(exact) * feed.current**2
        assert found.bounds[k] < 2e-3


def test_metals_that_change_alike_share_one_basis() -> None:
    assert prepared("copper").merged is None
    merged = prepared("steel").merged
    assert merged is not None
    assert merged.fine.vectors.shape[1] < 2 * prepared("steel").sweep.fine.model.modal_matrix.shape[0] + 60


def test_the_section_at_its_own_temperature_is_the_sweep() -> None:
    kept = prepared("steel")
    same = kept.evaluate([4e3], 20.0)
    np.testing.assert_allclose(same.fine.losses, kept.sweep.at([4e3]).fine.losses, rtol=1e-5)
    warm = at_temperature(kept.sweep.problem, 77.0)
    assert [c.temperature for c in warm.conductors] == [77.0] * 3
