"""A design of a study: data that stays as it was made, and travels."""

from __future__ import annotations

import math
import pickle

import pytest

from crosscurrent.studies.design import Design, place

MADE = {
    "key": "a1",
    "values": {"gap": 0.001, "bars": 4, "metal": "copper"},
    "figures": {"loss_w_per_m": 90.5},
    "errors": {"loss_w_per_m": 0.01},
    "slopes": {"loss_w_per_m": {"gap": 12.0}},
    "margins": {"temperature of the pier feed": -0.2},
    "verdict": "pass",
}


def test_equals_another_with_the_same_content_and_no_other() -> None:
    assert Design(**MADE) == Design(**MADE)
    assert Design(**MADE) != Design(**{**MADE, "slopes": {"loss_w_per_m": {"gap": 13.0}}})


def test_travels() -> None:
    design = Design(**MADE, seconds=0.3)
    assert pickle.loads(pickle.dumps(design)) == design


@pytest.mark.parametrize("name", ["values", "figures", "errors", "margins", "slopes"])
def test_cannot_be_changed(name: str) -> None:
    held = dict(MADE[name])
    design = Design(**{**MADE, name: held})
    held.clear()
    assert getattr(design, name) == MADE[name]
    with pytest.raises(TypeError):
        getattr(design, name)["other"] = 1.0
    with pytest.raises(TypeError):
        design.slopes["loss_w_per_m"]["other"] = 1.0


def test_says_what_it_holds() -> None:
    said = repr(Design(**MADE))
    for part in ("values={'gap': 0.001, 'bars': 4, 'metal': 'copper'}", "figures={'loss_w_per_m': 90.5}",
                 "slopes={'loss_w_per_m': {'gap': 12.0}}"):  # fmt: skip
        assert part in said


def test_place_is_name_by_name_and_by_size() -> None:
    sizes = [-math.inf, -2.5, -1e-9, 0, 1e-9, 3, 12.0, 1e6, math.inf]
    varied = [{"metal": metal, "gap": gap} for metal in ("brass", "copper") for gap in sizes]
    shuffled = varied[::2][::-1] + varied[1::2]
    assert sorted(shuffled, key=place) == varied
    assert place({"gap": 3}) == place({"gap": 3.0})
    assert place({"gap": -0.0}) == place({"gap": 0})
