"""The shipped cases, solved once in a file of tests, and what holds of every one of them."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import first_screen
import pytest

from crosscurrent.casefile.reader import read_case
from crosscurrent.command.run_output import show_result
from crosscurrent.result import Result
from crosscurrent.run import solve_case

CASES = Path(__file__).resolve().parents[1] / "cases"
APART = (
    "feed-harmonics", "switchboard-fault", "switchboard-in-air", "water-cooled-feed", "bush-shrink", "brazing-coil",
    "pad-pancakes", "pad-gap", "feed-measured",
)  # in files of their own  # fmt: skip
STEEL = 0.1  # bars of steel at its field strength hold what the form of its sine leaves open


@cache
def solved(name: str) -> Result:
    """Its answers."""
    return solve_case(read_case(CASES / f"{name}.toml"))


def check_shipped(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    """It says what it asks and answers, holds what every solution has to, and fits the terminal."""
    text = (CASES / f"{name}.toml").read_text(encoding="utf-8")
    assert text.startswith("# Question: ")
    assert "# Answer: " in text
    result = solved(name)
    bar = STEEL if any(c.is_saturable for c in result.case.problem().conductors) else 1e-3
    for point in result.points:
        assert point.power_balance < 1e-10
        assert abs(point.impedance - point.impedance.T).max() < 1e-12 * abs(point.impedance).max()
        for circuit in point.circuits.values():
            assert circuit.resistance is not None
            assert circuit.resistance_error is not None
            assert circuit.own_resistance is not None
            assert circuit.own_resistance_error is not None
            assert circuit.own_resistance_error <= bar
            # at the terminals of circuits that pass power to each other R may cross zero: then its own losses count
            terminals = abs(circuit.resistance)
            assert circuit.resistance_error * terminals <= bar * max(terminals, circuit.own_resistance)
    show_result(result, Path("out"))
    first_screen.check(capsys.readouterr().out)
