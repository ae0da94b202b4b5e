"""Which figures of a case may be other than stated."""

from __future__ import annotations

import numpy as np
import pytest
from meter_benches import any_reading, case_of

from crosscurrent.topics.measured_causes import figures, run_of


def test_dimensions_gaps_and_conductivities_are_in_doubt():
    found = {one.key: one.parameter for one in figures(case_of("silvered", 1.5))}
    assert {"wide", "thick", "gap", "silver-coat", "brass.conductivity", "silver.conductivity"} <= set(found)
    assert not any("temperature" in key or "permeability" in key for key in found)
    assert found["gap"].width == pytest.approx(0.2 / 3)  # a fifth of a millimetre
    assert found["wide"].width == pytest.approx(0.05)
    assert found["silver-coat"].width == pytest.approx(0.3)


def test_a_run_has_the_temperature_of_the_measurement_and_one_current():
    run = run_of(case_of("bars", 2.4), any_reading(0))
    assert run.length == pytest.approx(2.4)
    assert {c.temperature for c in run.problem.conductors} == {20.0}
    wider = run.varied({"gap": 5e-3})
    assert wider.conductors[1].part.shape.outer.centroid[1] - run.problem.conductors[1].part.shape.outer.centroid[
        1
    ] == pytest.approx(-1e-3)
    assert run.varied({"gap": -1.0}) is None
    assert np.count_nonzero([c.current for c in run.problem.circuits]) == 1
