"""The file of slopes over frequency."""

import csv

import numpy as np

from crosscurrent.postprocess.topics.slopes_csv import slopes_csv
from crosscurrent.solver.band.swept_slopes import SweptSlopes


def test_a_row_for_each_frequency_and_figure():
    row, loss = np.full((2, 2, 1), 0.25), np.full((2, 2), 4.0)
    found = SweptSlopes(("gap", "frequency"), row, row * np.nan, loss, row, row, loss, np.array([True, False]))
    rows = list(csv.DictReader(slopes_csv(np.array([50.0, 60.0]), found, {"gap": (0.003, "m")}, ["feed"]).splitlines()))
    assert [(r["frequency_hz"], r["figure"], r["value_si"], r["unit"], r["solved"]) for r in rows] == [
        ("50.0", "gap", "0.003", "m", "yes"), ("50.0", "frequency", "50.0", "Hz", "yes"),
        ("60.0", "gap", "0.003", "m", "no"), ("60.0", "frequency", "60.0", "Hz", "no"),
    ]  # fmt: skip
    assert rows[0]["feed: resistance_ohm_per_m_per_si"] == "0.25"
    assert rows[0]["feed: inductance_h_per_m_per_si"] == ""
