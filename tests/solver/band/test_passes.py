"""When passes through the shifts stop on one coarse mesh: how near the model is to a solve."""

import numpy as np
import pytest
from two_rods import EACH, HIGH, LOW, two_rods

from crosscurrent.solver.band.passes import reduce
from crosscurrent.solver.field.unit_fields import solve_fields


@pytest.mark.parametrize("frequency", [LOW, 800.0, HIGH])
def test_a_model_is_as_good_as_was_asked_for(frequency: float) -> None:
    d = two_rods()
    model = reduce(d, EACH, LOW, HIGH, tolerance=1e-6)
    exact = solve_fields(d, frequency, lifted=False).impedance
    np.testing.assert_allclose(model.foster.impedance(frequency)[0], exact, rtol=2e-6, atol=2e-6 * np.abs(exact).min())
