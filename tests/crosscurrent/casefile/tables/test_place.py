"""The table `place` by itself."""

from __future__ import annotations

from crosscurrent.casefile.tables.place import PlaceTable


def test_relation_and_other() -> None:
    below = PlaceTable.model_validate({"below": "a", "gap": "3 mm"})
    assert (below.relation, below.other, below.is_sideways) == ("below", "a", False)
    left = PlaceTable.model_validate({"left_of": "a", "gap": "3 mm", "align": "top"})
    assert (left.relation, left.is_sideways, left.gap) == ("left_of", True, 3e-3)
    assert PlaceTable.model_validate({"inside": "b", "wall": "left", "gap": "3 mm"}).is_sideways
