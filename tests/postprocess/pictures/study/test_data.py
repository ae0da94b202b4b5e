"""Designs as data: what they must agree in, and which of them are shown."""

import pickle

import numpy as np
import pytest
from made_designs import along, over_gap

from crosscurrent.geometries.arrays import same
from crosscurrent.postprocess.pictures.study.data import DesignAt, DesignGroup, StudyDesigns, StudyScale


def test_rows_must_agree():
    with pytest.raises(ValueError, match=r"need a row for each design; found \(2, 1\), \(3, 1\)"):
        DesignGroup("", np.zeros((2, 1)), *(np.zeros((3, 1)),) * 3)


def test_columns_must_be_those_of_the_scales():
    with pytest.raises(ValueError, match=r'group "copper": .* are \(1, 2, 2\), but there are \(1, 1, 0\)'):
        StudyDesigns((over_gap("copper"),), (StudyScale("gap", "m"),), (StudyScale("loss", "W/m"),))


def test_what_has_a_fault_breaks_no_limit():
    group = over_gap(faults=3)
    assert group.faulty.tolist() == [True] * 3 + [False] * 6
    assert group.broken.tolist() == [False] * 4 + [True] * 5  # above 225 nH/m, that is 4.5 mm


def test_some_groups_keep_their_best():
    designs = along(over_gap("a"), over_gap("b"), best=DesignAt(1, 3))
    assert designs.only([1]).best == DesignAt(0, 3)
    assert designs.only([0]).best is None
    assert len(designs.column("values", 0)) == 18


def test_designs_go_through_pickle():
    designs = along(over_gap("a"), best=DesignAt(0, 3))
    assert same(pickle.loads(pickle.dumps(designs)), designs)
