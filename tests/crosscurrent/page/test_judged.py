"""Limits beside the live figures: pass, fail or cannot tell, with the bar of what settled."""

from pathlib import Path

import pytest

from crosscurrent.page.board import NEW
from crosscurrent.page.words import Plain
from crosscurrent.page.worker import Job, work

PATH = Path("section.toml")


def limits(text: str) -> dict[tuple[str, str], Plain]:
    rows = work(Job("settled", 1, NEW + text, PATH, 50.0)).header["limits"]
    return {(row["limit"], row["of"]): row for row in rows}


def test_a_figure_passes_fails_or_nobody_can_tell() -> None:
    # two bars of 200 mm2 of annealed copper, 58.0 MS/m (IEC 60028, from memory): 172.4 uohm/m, 1.724 W/m
    figures = 'loss = "1.5 W/m"\nresistance = "0.2 mohm/m"\nforce = "1 N/m"\nfault_temperature = "90 degC"\n'
    found = limits("[limits]\n" + figures)
    assert found["loss", ""]["standing"] == "fail"
    assert found["resistance", "feed"]["standing"] == "pass"
    assert found["resistance", "feed"]["allowed"] == "200.0 uohm/m"
    assert {key[1] for key in found if key[0] == "force"} == {"outgoing", "return"}
    assert found["fault_temperature", ""]["why"] == "Run follows it in time and judges it"
    value = found["loss", ""]["value"]
    assert float(value.split()[0]) == pytest.approx(1.724, rel=5e-3)


def test_a_limit_inside_the_bar_and_one_without_a_figure() -> None:
    loss = work(Job("settled", 1, NEW, PATH, 50.0)).header["figures"]["total"]
    found = limits(f'[limits]\nloss = "{loss:.9g} W/m"\ntemperature_bare = "70 degC"\n')
    assert found["loss", ""]["standing"] == "cannot tell"
    assert found["temperature_bare", ""]["why"] == "it needs air and heat or water"


def test_temperatures_in_air_are_judged() -> None:
    found = limits('[cooling]\n\n[limits]\ntemperature_bare = "90 degC"\n')
    assert {key: row["standing"] for key, row in found.items()} == {
        ("temperature_bare", "outgoing"): "pass", ("temperature_bare", "return"): "pass",
    }  # fmt: skip


def test_a_case_without_limits() -> None:
    assert not limits("")
