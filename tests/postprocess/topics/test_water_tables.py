"""Tables of the water: a line for each stream, a line for each bore."""

from __future__ import annotations

import pytest
from made_water import answer

from crosscurrent.postprocess.topics.water import litres
from crosscurrent.postprocess.topics.water_tables import branch_table, stream_table


def test_a_stream_warms_as_its_heat_and_flow_say() -> None:
    """3 kW into 6 l/min: 3000 / (998.2 x 1e-4 x 4184) = 7.18 K (water at 20 degC)."""
    table = stream_table([answer()])
    assert all(len(row) == len(table.columns) for row in table.rows)
    name, at, heat, flow, inlet, outlet, _, _ = table.rows[0]
    assert (name, at, heat, flow, inlet) == ("bar", "50 Hz", "3.000 kW", "6", "20")
    assert float(outlet) - 20 == pytest.approx(7.18, abs=0.03)


def test_a_bore_has_its_speed_and_regime() -> None:
    """6 l/min through 8 mm: 1e-4 / (pi (4 mm)2) = 1.99 m/s."""
    (row,) = branch_table([answer()]).rows
    assert row[0] == "bar"
    assert (row[2], row[4]) == ("1.99", "turbulent")
    assert row[7] == "5"


def test_water_that_boils_away_has_no_temperature() -> None:
    boiling = answer(1e-6, 2000.0)
    assert boiling.boils_away is not None
    assert stream_table([boiling]).rows[0][5] == "boils"
    assert set(branch_table([boiling]).rows[0][6:]) == {"boils"}


@pytest.mark.parametrize(("flow", "said"), [(1e-4, "6"), (1 / 60_000, "1"), (0.1, "6000"), (1e-7, "0.006")])
def test_litres_a_minute(flow: float, said: str) -> None:
    assert litres(flow) == said
