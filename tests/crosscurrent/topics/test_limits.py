"""Limits: pass, fail, cannot tell; what would help; and what could not be judged."""

from __future__ import annotations

from pathlib import Path

import pytest
from topic_cases import JUDGED_PAIR, LOSS_OF_THE_PAIR, judged, results

from crosscurrent.__main__ import main


def test_pass_and_fail_with_margins(tmp_path: Path) -> None:
    data = judged(tmp_path, 'loss = "39 W/m"\nvoltage_drop = "1 V"')
    loss, drop = data["limits"]["limits"]
    assert (loss["verdict"], drop["verdict"]) == ("fail", "pass")
    assert loss["value"] == pytest.approx(LOSS_OF_THE_PAIR, rel=1e-6)
    assert loss["margin"] == pytest.approx(39 - LOSS_OF_THE_PAIR, abs=1e-4)
    assert drop["value"] == pytest.approx(LOSS_OF_THE_PAIR / 500 * 10, rel=1e-6)
    assert data["limits"]["in_words"][0].startswith("1 of 2 limits fail")


def test_a_limit_within_the_error_bar_cannot_be_told(tmp_path: Path) -> None:
    first = judged(tmp_path, 'inductance = "1 uH/m"')["limits"]["limits"][0]
    assert first["verdict"] == "pass"
    assert first["error"] > 0
    edge = first["value"] + 0.2 * first["error"]
    (tmp_path / "edge").mkdir()
    data = judged(tmp_path / "edge", f'inductance = "{edge * 1e9:.12f} nH/m"')
    assert data["limits"]["limits"][0]["verdict"] == "cannot tell"
    assert "nobody can tell" in data["limits"]["in_words"][0]


def test_an_inductance_that_hangs_on_the_return_is_told(tmp_path: Path) -> None:
    text = JUDGED_PAIR.format(limits='inductance = "1 uH/m"').replace('back = ["bar.2"]', "")
    data = results(tmp_path, text)
    assert any("depend on where they return" in text for text in data["warnings"])


def test_what_cannot_be_judged_is_said(tmp_path: Path) -> None:
    data = judged(tmp_path, 'temperature_bare = "90 degC"\nfield = "1 mT"')
    assert data["limits"]["not_judged"] == ["temperature_bare", "field"]
    assert any("temperature_bare: nothing to judge by; it needs [cooling]" in text for text in data["warnings"])


def test_a_name_that_is_not_there_is_a_fault(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "pair.toml").write_text(JUDGED_PAIR.format(limits='touchable = ["lid"]'), encoding="utf-8")
    assert main(["run", str(tmp_path / "pair.toml")]) == 2
    assert '"lid"' in capsys.readouterr().err
