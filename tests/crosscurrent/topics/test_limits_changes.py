"""What would help: changes that are solved anew, compared at the frequency of the figure itself."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from topic_cases import JUDGED_PAIR, LOSS_OF_THE_PAIR, judged, results, solved_bars

from crosscurrent.casefile.reader import read_case
from crosscurrent.run import solve_case
from crosscurrent.solver.heat.ampacity import rating
from crosscurrent.topics import cooling


def test_what_would_help_is_computed(tmp_path: Path) -> None:
    """At direct current the loss goes with the square of the current and with one over width and thickness."""
    helps = judged(tmp_path, 'loss = "39 W/m"')["limits"]["would_help"]
    changes = {row["change"]: row["changes_value_by"] for row in helps}
    assert changes["10 % less current"] == pytest.approx(-0.19 * LOSS_OF_THE_PAIR, rel=1e-3)
    assert changes["10 % more width"] == pytest.approx((1 / 1.1 - 1) * LOSS_OF_THE_PAIR, rel=1e-3)
    assert changes["10 % more thickness"] == pytest.approx((1 / 1.1 - 1) * LOSS_OF_THE_PAIR, rel=1e-3)
    assert "10 % more gap" not in changes  # it changes nothing
    assert helps[0]["change"] == "10 % less current"


def test_less_metal_helps_a_mass(tmp_path: Path) -> None:
    """Of 4 kg/m a tenth less width, or a tenth less thickness, takes a tenth."""
    text = JUDGED_PAIR.format(limits='mass = "3.9 kg/m"').replace('"50 MS/m"', '"50 MS/m"\ndensity = "8000 kg/m3"')
    helps = results(tmp_path, text)["limits"]["would_help"]
    changes = {row["change"]: row["changes_value_by"] for row in helps}
    assert changes == {"10 % less width": pytest.approx(-0.4), "10 % less thickness": pytest.approx(-0.4)}


def test_changes_are_compared_at_the_figure_s_own_frequency(tmp_path: Path) -> None:
    """Force goes with the square of the current, at the frequency that has the largest force."""
    text = JUDGED_PAIR.format(limits='force = "1 N/m"').replace('["0 Hz"]', '["0 Hz", "50 Hz"]')
    data = results(tmp_path, text + "[supports]\n")["limits"]
    worst = max(row["value"] for row in data["limits"])
    changes = {row["change"]: row["changes_value_by"] for row in data["would_help"]}
    assert worst > 1.5 * min(row["value"] for row in data["limits"])  # the peak at 50 Hz, the steady force at 0 Hz
    assert changes["10 % less current"] == pytest.approx(-0.19 * worst, rel=1e-3)


def test_changes_are_compared_at_a_point_of_a_sweep_too(tmp_path: Path) -> None:
    """A voltage goes with the current; the largest of a band stands at its end, where nothing is asked one by one."""
    swept = 'at = ["50 Hz"]\nsweep = { from = "50 Hz", to = "200 Hz", points = 2 }'
    text = JUDGED_PAIR.format(limits='voltage_drop = "1 mV"').replace('at = ["0 Hz"]', swept)
    (tmp_path / "pair.toml").write_text(text, encoding="utf-8")
    result = solve_case(read_case(tmp_path / "pair.toml"))
    data = next(c.record for c in result.chapters if c.key == "limits")
    worst = max(row["value"] for row in data["limits"])
    changes = {row["change"]: row["changes_value_by"] for row in data["would_help"]}
    assert max(data["limits"], key=lambda row: float(row["value"]))["of"] == "feed at 200 Hz"
    assert changes["10 % less current"] == pytest.approx(-0.1 * worst, rel=1e-3)


def test_no_rated_currents_are_sought_for_changes(monkeypatch: pytest.MonkeyPatch) -> None:
    sought = []

    def counted(*given: Any, **kept: Any) -> Any:
        sought.append(given)
        return rating(*given, **kept)

    monkeypatch.setattr(cooling, "rating", counted)
    result = solved_bars(cooling={"temperature_limit": "90 degC"}, limits={"temperature_bare": "41 degC"})
    assert any("would help" in text for text in result.chapter("limits").sentences)
    assert len(sought) == 1
