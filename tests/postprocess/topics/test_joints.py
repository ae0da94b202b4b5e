"""Words of joints: shares of the run, and a run without a length."""

from __future__ import annotations

from dataclasses import replace

import pytest
from topic_answers import circuit

from crosscurrent.postprocess.topics.joints import AllowedJoint, JointsAnswer, record, sentences, table

BOLTS = AllowedJoint("bolted", 4, 0.5e-3)  # 2 mohm in a row


def test_a_joint_beside_the_run() -> None:
    """Run: 1 mohm/m x 8 m = 8 mohm; with the joints 10 mohm, at 100 A 80 W and 20 W."""
    found = [JointsAnswer(50.0, circuit(), (BOLTS,), 8.0)]
    row = record(found)["circuits"][0]
    assert row["share"] == pytest.approx(0.2)
    assert row["total_resistance_ohm"] == pytest.approx(10e-3)
    assert row["loss_w"] == pytest.approx(20)
    assert row["total_loss_w"] == pytest.approx(100)
    assert table(found).rows[0] == ("4 x bolted", "feed", "50 Hz", "2.000 mohm", "20 %", "20.00 W")
    assert table(found).rows[1] == ("the run itself", "feed", "50 Hz", "8.000 mohm", "80 %", "80.00 W")
    assert list(sentences(found)) == [
        "feed at 50 Hz: the joints make 20 % of 10.00 mohm and add 20.00 W to the run's 80.00 W"
    ]


def test_a_run_without_a_length() -> None:
    found = [JointsAnswer(f, circuit(), (BOLTS,), None) for f in (0.0, 50.0)]
    assert record(found)["circuits"][0]["share"] is None
    assert [row[4] for row in table(found).rows] == ["-", "-"]
    assert list(sentences(found)) == ["the run has no length: the joints' share of its resistance cannot be told"]


def test_a_run_below_its_own_bar_is_none_and_joints_are_as_stated() -> None:
    found = [JointsAnswer(50.0, circuit(resistance_error=1.2), (replace(BOLTS, resistance=0.0),), 8.0)]
    assert [row[3:] for row in table(found).rows] == [("0 ohm", "0 %", "0 W"), ("none", "none", "none")]
    assert list(sentences(found)) == ["feed at 50 Hz: the joints make 0 % of none and add 0 W to the run's none"]
    assert record(found)["circuits"][0]["run_resistance_ohm"] == pytest.approx(8e-3)


def test_a_circuit_that_shares_all_its_conductors_has_no_run_of_its_own() -> None:
    shared = circuit(own_loss=0.0, own_resistance=0.0, own_dc_resistance=0.0, own_ratio=None)
    found = [JointsAnswer(50.0, shared, (BOLTS,), 8.0, coupled=True)]
    assert [row[0] for row in table(found).rows] == ["4 x bolted"]
    assert (list(sentences(found)), record(found)["circuits"][0]["share"]) == ([], None)
