"""Mesh options and their finer ones."""

import dataclasses

import pytest

from crosscurrent.geometries.meshing.options import MeshOptions


def test_level_zero_is_the_same():
    assert MeshOptions().finer(0) == MeshOptions()


def test_every_size_shrinks_and_layers_reach_deeper():
    plain, finer = MeshOptions(), MeshOptions().finer(2)
    for name in ("first", "corner", "reentrant", "arc"):
        assert getattr(finer, name) == pytest.approx(getattr(plain, name) / 2.25)
    assert 1 < finer.growth < plain.growth
    assert finer.slope < plain.slope
    assert finer.reach > plain.reach
    assert finer.truncation > plain.truncation
    assert finer.margin == plain.margin


def test_options_cannot_be_changed():
    with pytest.raises(dataclasses.FrozenInstanceError):
        MeshOptions().first = 1.0
