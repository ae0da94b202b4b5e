"""What of a case can be varied: every figure once, under its key, with its tolerance."""

from __future__ import annotations

from pathlib import Path

import pytest
from varied_case import CASE

from crosscurrent.casefile.reader import read_case
from crosscurrent.casefile.variables import NUMBER, Variable, variables


@pytest.fixture
def found(tmp_path: Path) -> dict[str, Variable]:
    (tmp_path / "feed.toml").write_text(CASE)
    return {one.key: one for one in variables(read_case(tmp_path / "feed.toml"))}


def test_figures_written_out_under_their_conductor(found: dict[str, Variable]) -> None:
    assert found["outgoing.width"] == Variable("outgoing.width", ("conductor", 0, "width"), 0.1, "length")
    assert found["outgoing.centre.y"].value == pytest.approx(0.007)
    assert found["return.points.2.x"].value == pytest.approx(0.05)
    assert found["return.points.3.arc_to.x"].dimension == "position"
    assert found["feed.current"].dimension == "current"


def test_a_name_once_wherever_it_is_used(found: dict[str, Variable]) -> None:
    assert found["thick"] == Variable("thick", ("named", "thick"), 0.006, "length")
    assert not {"outgoing.thickness", "return.place.gap", "metal"} & found.keys()


def test_tolerances_in_the_units_of_their_values(found: dict[str, Variable]) -> None:
    widths = {key: one.tolerance for key, one in found.items() if one.tolerance}
    assert widths == pytest.approx(
        {"gap": 2e-4, "mine.conductivity": 1e6, "outgoing.plating.1.thickness": 3e-6, "outgoing.temperature": 5.0}
    )


def test_metals_built_in_and_own(found: dict[str, Variable]) -> None:
    assert found["copper.conductivity"].value == pytest.approx(58e6, rel=0.02)
    assert {"silver.conductivity", "copper.permeability", "silver.temperature_coefficient"} <= found.keys()
    assert found["mine.permeability"] == Variable("mine.permeability", ("material", "mine", "permeability"), 40, NUMBER)


def test_limits_are_no_figures_of_the_thing_itself(found: dict[str, Variable]) -> None:
    assert not [key for key in found if key.startswith("limits")]
