"""Which temperature limits hold for which conductor."""

from __future__ import annotations

from topic_cases import bars

from crosscurrent.casefile.case import checked_case
from crosscurrent.casefile.tables.limits import LimitsTable
from crosscurrent.topics.limits_kinds import kinds_of


def test_named_ones_are_what_they_are_named_and_others_bare_or_plated() -> None:
    one, other = bars()["conductor"]
    tin = {"plating": [{"material": "tin", "thickness": "10 um"}]}
    case = checked_case(bars(conductor=[one | tin, other]))
    assert kinds_of(case, LimitsTable()) == {"a": ("plated",), "b": ("bare",)}
    named = LimitsTable.model_validate({"insulated": ["a"], "touchable": ["a", "b"]})
    assert kinds_of(case, named) == {"a": ("insulated", "touchable"), "b": ("touchable",)}
