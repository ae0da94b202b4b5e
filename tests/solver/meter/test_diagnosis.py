"""A diagnosis as data."""

from __future__ import annotations

import pickle

import numpy as np
from meter_benches import known, made

from crosscurrent.solver.meter.diagnose import diagnose


def test_a_diagnosis_is_data_that_pickles_and_knows_what_is_certain():
    found = diagnose(made(2, {"contact": 3e-4}, np.random.default_rng(18)).reading, known(2)[2])
    assert pickle.loads(pickle.dumps(found)) == found
    assert found.certain == {"contact"}
    best = found.explanations[0]
    assert best.keys == {"contact"}
    assert best.causes[0].resistance[found.rows].max() > 2e-4
    assert len(found.measured_resistance) == len(found.rows) == 41
