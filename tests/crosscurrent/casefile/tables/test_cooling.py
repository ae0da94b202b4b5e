"""[cooling]: the air that a run stands in."""

from __future__ import annotations

import math

import pytest
from table_rows import refused

from crosscurrent.casefile.tables.cooling import CoolingTable, finish_as
from crosscurrent.solver.heat.cooling import FINISHES


def test_as_the_solver_takes_it() -> None:
    table = CoolingTable.model_validate({"orientation": "vertical", "air_speed": "36 km/h", "altitude": "1 km"})
    found = table.cooling(40.0, 3.0)
    assert (found.air, found.finish) == (40.0, FINISHES["dull"])
    assert found.stream.tilt == pytest.approx(math.pi / 2)
    assert (found.stream.length, found.stream.speed, found.stream.altitude) == (3.0, 10.0, 1000.0)


def test_which_air_counts() -> None:
    assert CoolingTable.model_validate({"ambient": "25 degC"}).cooling(40.0, None).air == 25
    inside = CoolingTable.model_validate({"air": "still enclosure", "enclosure_air": "55 degC"})
    assert inside.cooling(40.0, None).air == 55


def test_a_stated_emissivity_has_no_band() -> None:
    finish = finish_as(None, 0.5)
    assert finish is not None
    assert (finish.emissivity, finish.low, finish.high) == (0.5, 0.5, 0.5)
    assert finish_as(None, None) is None


def test_what_does_not_fit_together() -> None:
    assert refused(CoolingTable, air="still enclosure")[1] == "none"
    assert refused(CoolingTable, enclosure_air="55 degC")[1] == 'air = "free"'
    assert refused(CoolingTable, finish="dull", emissivity=0.5) == ("either finish or emissivity", "both")
    assert refused(CoolingTable, orientation="100 deg")[0].startswith('"horizontal", "vertical" or an angle')
