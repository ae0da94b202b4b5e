"""Words of the stray field: below the bar, reach of levels, uncertain permeability."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest

from crosscurrent.postprocess.topics.stray_field import FieldAnswer, csv, measured, record, sentences, tables
from crosscurrent.solver.field.permeability import PermeabilityBand
from crosscurrent.solver.field.reference_levels import reference_levels
from crosscurrent.solver.field.survey import Reach, Reading

SEAT = Reading((0.5, -0.1), 3e-6, 1e-8)
PUBLIC, OCCUPATIONAL = reference_levels(85e3)


def answer(**more: Any) -> FieldAnswer:
    return FieldAnswer(**{"frequency": 85e3, "points": {"seat": SEAT}, "lines": {}, "reaches": ()} | more)


def test_a_reading_and_one_below_its_bar() -> None:
    weak = Reading((0.0, 1.0), 1e-9, 2e-9)
    (table,) = tables([answer(points={"seat": SEAT, "far": weak}, lines={"way": (weak, SEAT)})])
    assert table.rows == (
        ("85 kHz", "seat", "3.000 uT", "10 nT"),
        ("85 kHz", "far", "none", "2 nT"),
        ("85 kHz", "way, highest at (500, -100) mm", "3.000 uT", "10 nT"),
    )
    assert not tables([answer(points={})])


def test_what_limits_refer_to_names_the_place() -> None:
    (figure,) = measured([answer()])
    assert (figure.of, figure.label, figure.frequency) == ("seat", "seat at 85 kHz", 85e3)


@pytest.mark.parametrize(
    ("distance", "said"),
    [
        (0.0, "is not reached anywhere outside the conductors"),
        (0.254, "reaches 254 mm (10 in; +- 1 mm) from the nearest live conductor"),
        (math.inf, "reaches further than the section can tell: its currents do not sum to zero"),
    ],
)
def test_how_far_a_level_reaches(distance: float, said: str) -> None:
    found = [answer(reaches=((PUBLIC, Reach(distance, 1e-3)), (OCCUPATIONAL, Reach(distance, 1e-3))))]
    first, second = sentences(found)
    assert first == f"85 kHz: the reference level for the general public (27 uT, ICNIRP 2010, at any instant) {said}"
    assert "for occupational exposure (100 uT" in second
    rows = record(found)["frequencies"][0]["reference_levels"]
    assert rows[0]["distance_m"] == (distance if math.isfinite(distance) else None)


def test_a_current_that_does_not_return_says_what_that_leaves_open() -> None:
    """2e-7 I / D: 80 uT m over the distance for 400 A, 40 uT at 2 m."""
    seat = Reading((0.0, 1.0), 80e-6, 1e-9)
    one = answer(points={"seat": seat}, missing_current=400.0, return_effects={"seat": 40e-6})
    said = list(sentences([one]))[-1]
    assert said.startswith("85 kHz: 400.0 A do not return in the section; ")
    assert "return all round and further away than every place" in said
    assert "up to 80.0 uT m over that distance: 40.0 uT, 50 % of the field at seat if it is twice as far" in said
    assert not any("do not return" in said for said in sentences([answer()]))
    found = record([one])["frequencies"][0]
    assert (found["missing_current_a"], found["points"]["seat"]["return_effect_t"]) == (400.0, 40e-6)


def test_an_uncertain_permeability_spans_all_that_was_tried() -> None:
    band = PermeabilityBand(["rod", "wall"], ["wall"], [50.0, 100.0, 200.0], np.array([[1, 4], [1, 9], [1, 6]]),
                            np.array([1.0, 12.0]))  # fmt: skip
    found = [answer(band=band)]
    *_, said = sentences(found)
    assert said.startswith("wall at 85 kHz: with a relative permeability from 50 to 200 it loses 4.00 W/m to 12.0 W/m")
    kept = record(found)["frequencies"][0]["uncertain_permeability"]
    assert kept["loss_w_per_m"] == {"rod": [1, 1, 1], "wall": [4, 9, 6]}


def test_a_line_as_a_file() -> None:
    assert csv([SEAT]) == "x_m,y_m,flux_density_t,error_t\n0.5,-0.1,3e-06,1e-08\n"
