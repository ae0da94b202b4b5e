"""The words of a diagnosis."""

from __future__ import annotations

import json
from dataclasses import replace

import numpy as np
import pytest
from meter_benches import known, made

from crosscurrent.postprocess.topics.diagnosis import advice, amount, record, sentences, table, worded
from crosscurrent.solver.meter.diagnose import diagnose
from crosscurrent.solver.meter.diagnosis import Amount, Drowned, Separation

COAX = 2


@pytest.fixture(scope="module")
def joint():
    return diagnose(made(COAX, {"contact": 3e-4}, np.random.default_rng(18)).reading, known(COAX)[2])


def test_one_cause_with_its_amount_and_each_joint(joint):
    first, *rest = sentences(joint, joints=3)
    assert first.startswith("a series resistance of ")
    assert "explains all of it" in first
    assert rest[0].startswith("in 3 joints alike that is ")
    assert float(first.split()[4]) == pytest.approx(300, abs=15)


def test_metal_is_named_by_conductivity_and_by_temperature():
    bench = made(COAX, {"copper.conductivity": 50e6}, np.random.default_rng(18))
    first = next(sentences(diagnose(bench.reading, known(COAX)[2])))
    assert first.startswith("conductivity of copper ")
    assert float(first.split()[3]) == pytest.approx(50, abs=0.03)
    # 58 / 50 = 1 + 0.00393 (t - 20) at t = 60.7 degC
    assert "in place of 58 MS/m (or metals at 60." in first


def test_within_undecided_and_none(joint):
    within = diagnose(made(COAX, {}, np.random.default_rng(18)).reading, known(COAX)[2])
    assert next(sentences(within)).startswith("no cause is needed")
    several = replace(joint, verdict="undecided", explanations=(joint.explanations[0], joint.bare), separation=None)
    said = list(sentences(several))
    assert said[0].startswith("likeliest a series resistance of ")
    assert any("cannot tell them apart, nor would" in one for one in said)
    apart = Separation("lower frequency", 1e3, "R", 8.0)
    said = list(sentences(replace(several, separation=apart)))
    assert any("measure R at 1 kHz or below to tell the first two apart" in one for one in said)
    few = replace(joint, verdict="none", bare=replace(joint.bare, freedom=26))
    said = list(sentences(few))
    assert said[0].startswith("no cause fits, alone or with others: from row to row")
    assert any("told from 13 rows" in one for one in said)
    many = replace(few, bare=replace(joint.bare, freedom=40))
    assert not any("told from" in one for one in sentences(many))


def test_the_floor_of_a_meter_is_told_with_its_bands(joint):
    upper = Amount("floor", "offset in X", "ohm", -1.1e-6, 1e-7, 2e-6, (3.2e3, 1e5))
    lower = Amount("floor", "offset in R", "ohm", 1.5e-6, 5e-8, 2e-6, (20.0, 2.7e3))
    same = Amount("contact", "series resistance", "ohm", 1.5e-6, 5e-8, 0.0)
    (cause,) = joint.explanations[0].causes
    floor = replace(cause, key="floor", name="floor of the meter", amount=lower, shapes=(upper,), alike=(same,))
    bare = replace(joint.bare, causes=(floor,))
    within = replace(joint, verdict="within", explanations=(bare,), bare=bare,
                     drowned=(Drowned("L", 20.0, 2e3, 2e-6, stated=True), Drowned("R", 20.0, 20.0, 2e-6, stated=True)))
    first, second, third, fourth = sentences(within)
    assert first.startswith("no cause is needed: the floor of the meter, stated as 2 uohm (offset in R 20 Hz to 2.7 "
                            "kHz 1.50 +- 0.10 uohm, offset in X 3.2 kHz to 100 kHz -1.10 +- 0.20 uohm) explains what")
    assert second.startswith("a series resistance of 1.50 +- 0.10 uohm would look the same: a short")
    assert third.startswith("L from 20 Hz to 2 kHz is hardly more than the floor of the meter, 2 uohm as stated, and")
    assert fourth.startswith("R at 20 Hz is")
    assert table(within).rows[-1][0].startswith("the floor of the meter")
    kept = record(within)
    assert kept["floor_hides"][0]["up_to_hz"] == 2e3
    assert kept["explanations"][0]["causes"][0]["from_hz"] == 20.0
    unknown = replace(floor, key="offset", amount=replace(lower, band=None, stated=0.0), shapes=())
    assert worded(replace(bare, causes=(unknown,))) == (
        "the floor of the meter, which is not stated (offset in R 1.50 +- 0.10 uohm)"
    )
    asked = list(sentences(replace(joint, floor_stated=False)))
    assert asked[1] == (
        "an offset of the meter, whose floor is not stated, would look the same: measure a short at the meter (its "
        "floor stays, all else goes)"
    )


def test_scatter_that_rows_tell_is_said_and_amounts_of_nothing_are_bounds(joint):
    assert "judged by F as 41 rows" in next(sentences(replace(joint, scatter_freedom=20.5)))
    assert "by F" in table(replace(joint, scatter_freedom=20.5)).heading
    (cause,) = joint.explanations[0].causes
    rough = replace(cause, key="roughness", name="roughness", alike=(),
                    amount=Amount("roughness", "roughness Rq", "m", 0.0, 1.6e-6, 0.0))
    assert worded(replace(joint.bare, causes=(rough,))) == "a roughness Rq of at most 3.2 um"


def test_table_and_record(joint):
    shown = table(joint)
    assert shown.rows[0][0].startswith("a series resistance of ")
    assert shown.rows[-1][0] == "no cause at all"
    kept = json.loads(json.dumps(record(joint), allow_nan=False))
    assert kept["verdict"] == "named"
    assert kept["explanations"][0]["causes"][0]["unit"] == "ohm"
    assert kept["further_measurement"] is None


def test_digits_follow_the_uncertainty():
    assert amount(3.44e-9, 1.5e-11, "H") == "3.440 +- 0.030 nH"
    assert amount(0.0, 1e-6, "m") == "0.0 +- 2.0 um"
    assert amount(3.98, 0.03, "%") == "3.980 +- 0.060 %"


def test_advice():
    assert advice(Separation("longer run", 9.6, "L", 9.0)) == "measure L of a run of 9.6 m at the same ends"
    assert advice(Separation("other temperature", 70.0, "R", 9.0)) == "measure R with the metal at 70 degC"
    assert advice(Separation("higher frequency", 2e6, "L", 9.0)) == "measure L at 2 MHz or above"
