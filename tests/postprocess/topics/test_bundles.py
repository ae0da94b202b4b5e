"""Words, table and record of bundles."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from crosscurrent.postprocess.topics.bundles import BundleAnswer, record, sentences, table
from crosscurrent.solver.metals.strands import Strands

LEAD = BundleAnswer(
    "lead", Strands(420, 1e-4, take_up=1.04, levels=(5, 84)), 0.1125e-3, math.pi / 4 * 9e-6, 3e-3, 0.1e-3, False,
    5.436e-3, ("a take-up of 1.04",),
)  # fmt: skip


def test_record() -> None:
    found = record([LEAD])["lead"]
    assert isinstance(found, dict)
    assert found["fill"] == pytest.approx(420 * 1.04 / 900)  # of circles a thirtieth as wide
    assert found["over_serving_m"] == pytest.approx(3.2e-3)
    assert found["copper_area_m2"] == pytest.approx(420 * 1.04 * math.pi / 4 * 1e-8)


def test_table_and_sentences() -> None:
    (row,) = table([LEAD]).rows
    assert row[:8] == ("lead", "5 x 84", "0.1", "0.1125", "3", "3.2", "3.431", "48.5 %")
    assert list(sentences([LEAD, replace(LEAD, name="back")])) == [
        "lead, back: not stated, taken by trade practice: a take-up of 1.04",
        "lead, back: 420 strands, transposed, every one with the same current, as one medium; metal fills 48.5 %",
    ]
    pressed = replace(LEAD, outer=None, serving=None, assumed=())
    assert table([pressed]).rows[0][4:6] == ("-", "-")
    assert len(list(sentences([pressed]))) == 1
