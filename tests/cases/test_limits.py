"""Limits: pass, fail, cannot tell; what would help; and what could not be judged."""

from __future__ import annotations

import json
import math
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest

from crosscurrent.__main__ import main
from crosscurrent.cases.changes import changed
from crosscurrent.cases.reader import read_case
from crosscurrent.cases.run import solve_case

CASE = """
title = "Pair"
length = "10 m"
[frequency]
at = ["0 Hz"]
[[conductor]]
name = "bar"
shape = "bar"
width = "50 mm"
thickness = "5 mm"
material = "own"
centre = ["0 mm", "-5 mm"]
repeat = {{ count = 2, step = ["0 mm", "10 mm"] }}
[material.own]
conductivity = "50 MS/m"
[[circuit]]
name = "feed"
current = "500 A"
out = ["bar.1"]
back = ["bar.2"]
[limits]
{limits}
"""
# 2 x 500 A^2 / (50 MS/m x 250 mm2): 40 W/m
LOSS = 2 * 500**2 / (50e6 * 250e-6)


def judged(folder: Path, limits: str) -> dict[str, Any]:
    (folder / "pair.toml").write_text(CASE.format(limits=limits), encoding="utf-8")
    assert main(["run", str(folder / "pair.toml")]) == 0
    data: dict[str, Any] = json.loads((folder / "pair" / "results.json").read_text(encoding="utf-8"))
    return data


def test_pass_and_fail_with_margins(tmp_path: Path) -> None:
    data = judged(tmp_path, 'loss = "39 W/m"\nvoltage_drop = "1 V"')
    loss, drop = data["limits"]["limits"]
    assert (loss["verdict"], drop["verdict"]) == ("fail", "pass")
    assert loss["value"] == pytest.approx(LOSS, rel=1e-6)
    assert loss["margin"] == pytest.approx(39 - LOSS, abs=1e-4)
    assert drop["value"] == pytest.approx(LOSS / 500 * 10, rel=1e-6)
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


def test_what_would_help_is_computed(tmp_path: Path) -> None:
    """At direct current the loss goes with the square of the current and with one over width and thickness."""
    helps = judged(tmp_path, 'loss = "39 W/m"')["limits"]["would_help"]
    changes = {row["change"]: row["changes_value_by"] for row in helps}
    assert changes["10 % less current"] == pytest.approx(-0.19 * LOSS, rel=1e-3)
    assert changes["10 % more width"] == pytest.approx((1 / 1.1 - 1) * LOSS, rel=1e-3)
    assert changes["10 % more thickness"] == pytest.approx((1 / 1.1 - 1) * LOSS, rel=1e-3)
    assert "10 % more gap" not in changes  # it changes nothing
    assert helps[0]["change"] == "10 % less current"


STACK = """
[frequency]
at = ["0 Hz", "50 Hz"]
[[conductor]]
name = "bar"
shape = "bar"
width = "40 mm"
thickness = "5 mm"
turn = "{turn} deg"
material = "copper"
repeat = {{ count = 3, step = {step} }}
[[conductor]]
name = "late"
shape = "bar"
width = "40 mm"
thickness = "5 mm"
turn = "{turn} deg"
material = "copper"
centre = {late}
[[conductor]]
name = "wall"
shape = "bar"
width = "200 mm"
thickness = "3 mm"
turn = "{turn} deg"
material = "steel"
centre = {wall}
[[circuit]]
name = "feed"
current = "500 A"
out = ["bar.1", "late"]
back = ["bar.2", "bar.3"]
[limits]
force = "1 N/m"
"""


@pytest.mark.parametrize("upright", [False, True])
def test_gaps_stay_when_parts_grow(tmp_path: Path, upright: bool) -> None:
    """Stacked at 1 mm gaps, a hair apart sideways, the last further away, in front of a wall; flat and turned."""

    def place(along: float, across: float) -> str:
        return f'["{across if not upright else along} mm", "{along if not upright else across} mm"]'

    case = STACK.format(turn=90 * upright, step=place(6, 0.01), late=place(30, 0.1), wall=place(-20, 0))
    (tmp_path / "stack.toml").write_text(case, encoding="utf-8")
    found = read_case(tmp_path / "stack.toml")
    axis = 0 if upright else 1
    changes = dict(changed(found, found.data))

    def boxes(name: str) -> list[Any]:
        rows = changes[name].conductor if name else found.data.conductor
        return [part.shape.outer.bounds for row in rows for part in row.parts()]

    def gaps(name: str) -> list[float]:
        ordered = sorted(boxes(name), key=lambda box: float(box[0, axis]))
        return [float(b[0, axis] - a[1, axis]) for a, b in pairwise(ordered)]

    before, thicker, wider, spread = (gaps(name) for name in ("", *(f"10 % more {w}" for w in WORDS)))
    assert min(thicker) == pytest.approx(min(before), abs=1e-9)
    assert all(a >= b - 1e-9 for a, b in zip(thicker, before, strict=True))
    assert wider == pytest.approx(before, abs=1e-9)
    assert min(spread) == pytest.approx(1.1 * min(before), abs=1e-9)
    # a hair apart sideways stays a hair
    sides = [float(box[:, 1 - axis].mean()) for box in boxes("10 % more width")[:4]]
    assert max(sides) - min(sides) == pytest.approx(1e-4, rel=1e-6)


def test_bars_askew_are_not_grown_into_their_gap(tmp_path: Path) -> None:
    """Turned by 45 degrees, 7.07 mm apart between middles: thicker bars would halve the gap, wider ones keep it."""
    case = STACK[: STACK.index('[[conductor]]\nname = "late"')].format(turn=45, step='["-5 mm", "5 mm"]')
    feed = '[[circuit]]\nname = "feed"\ncurrent = "1 A"\nout = ["bar.1"]\nback = ["bar.3"]\n'
    (tmp_path / "askew.toml").write_text(case + feed, encoding="utf-8")
    found = read_case(tmp_path / "askew.toml")
    names = [what for what, _ in changed(found, found.data)]
    assert "10 % more thickness" not in names
    assert "10 % more width" in names


WORDS = ("thickness", "width", "gap")


def test_changes_are_compared_at_the_figure_s_own_frequency(tmp_path: Path) -> None:
    """Force goes with the square of the current, at the frequency that has the largest force."""
    text = CASE.format(limits='force = "1 N/m"').replace('["0 Hz"]', '["0 Hz", "50 Hz"]')
    (tmp_path / "pair.toml").write_text(text + "[supports]\n", encoding="utf-8")
    assert main(["run", str(tmp_path / "pair.toml")]) == 0
    data = json.loads((tmp_path / "pair" / "results.json").read_text(encoding="utf-8"))["limits"]
    worst = max(row["value"] for row in data["limits"])
    changes = {row["change"]: row["changes_value_by"] for row in data["would_help"]}
    assert worst > 1.5 * min(row["value"] for row in data["limits"])  # the peak at 50 Hz, the steady force at 0 Hz
    assert changes["10 % less current"] == pytest.approx(-0.19 * worst, rel=1e-3)


def test_changes_are_compared_at_a_point_of_a_sweep_too(tmp_path: Path) -> None:
    """A voltage goes with the current; the largest of a band stands at its end, where nothing is asked one by one."""
    swept = 'at = ["50 Hz"]\nsweep = { from = "50 Hz", to = "200 Hz", points = 2 }'
    text = CASE.format(limits='voltage_drop = "1 mV"').replace('at = ["0 Hz"]', swept)
    (tmp_path / "pair.toml").write_text(text, encoding="utf-8")
    result = solve_case(read_case(tmp_path / "pair.toml"))
    data = next(c.record for c in result.chapters if c.key == "limits")
    worst = max(row["value"] for row in data["limits"])
    changes = {row["change"]: row["changes_value_by"] for row in data["would_help"]}
    assert max(data["limits"], key=lambda row: float(row["value"]))["of"] == "feed at 200 Hz"
    assert changes["10 % less current"] == pytest.approx(-0.1 * worst, rel=1e-3)


FAULT = """
[fault]
circuit = "feed"
current = "20 kA"
frequency = "50 Hz"
x_over_r = 14
duration = "20 ms"
"""


def test_the_force_of_a_fault_is_judged(tmp_path: Path) -> None:
    """500 A push with some N/m; the fault's peak current is about 1.8 sqrt(2) 20 kA, ten thousand times the force."""
    text = CASE.format(limits='force = "100 N/m"').replace('["0 Hz"]', '["50 Hz"]')
    (tmp_path / "pair.toml").write_text(text + FAULT, encoding="utf-8")
    assert main(["run", str(tmp_path / "pair.toml")]) == 0
    data = json.loads((tmp_path / "pair" / "results.json").read_text(encoding="utf-8"))["limits"]
    assert {row["verdict"] for row in data["limits"]} == {"fail"}
    assert data["limits"][0]["of"] == "bar.1 in [fault]"


def test_an_inductance_that_hangs_on_the_return_is_told(tmp_path: Path) -> None:
    text = CASE.format(limits='inductance = "1 uH/m"').replace('back = ["bar.2"]', "")
    (tmp_path / "pair.toml").write_text(text, encoding="utf-8")
    assert main(["run", str(tmp_path / "pair.toml")]) == 0
    data = json.loads((tmp_path / "pair" / "results.json").read_text(encoding="utf-8"))
    assert any("depend on where they return" in text for text in data["warnings"])


def test_one_conductor_inside_another_has_no_gap_to_widen(tmp_path: Path) -> None:
    rows = "".join(
        f'[[conductor]]\nname = "{name}"\nshape = "{shape}"\ndiameter = "{size} mm"\nmaterial = "copper"\n{more}'
        for name, shape, size, more in (("core", "round", 10, ""), ("sheath", "tube", 40, 'wall = "2 mm"\n'))
    )
    feed = '[[circuit]]\nname = "line"\ncurrent = "1 A"\nout = ["core"]\nback = ["sheath"]\n'
    (tmp_path / "coax.toml").write_text(f'[frequency]\nat = ["0 Hz"]\n{rows}{feed}', encoding="utf-8")
    found = read_case(tmp_path / "coax.toml")
    assert [what for what, _ in changed(found, found.data)] == [
        "10 % less current",
        "10 % more wall",
        "10 % more diameter",
    ]


def test_force_in_service_is_the_peak(tmp_path: Path) -> None:
    """Two bars 10 mm apart between centres: below mu0 I^2 / (2 pi d), as wide bars push less; steady at 0 Hz."""
    force = judged(tmp_path, 'force = "20 N/m"')["limits"]["limits"][0]
    assert 0.2 < force["value"] / (2e-7 * 500**2 / 0.01) < 0.5
    assert math.isfinite(force["error"])


def test_what_cannot_be_judged_is_said(tmp_path: Path) -> None:
    data = judged(tmp_path, 'temperature_bare = "90 degC"\nfield = "1 mT"')
    assert data["limits"]["not_judged"] == ["temperature_bare", "field"]
    assert any("temperature_bare: nothing to judge by; it needs [cooling]" in text for text in data["warnings"])


def test_a_name_that_is_not_there_is_a_fault(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "pair.toml").write_text(CASE.format(limits='touchable = ["lid"]'), encoding="utf-8")
    assert main(["run", str(tmp_path / "pair.toml")]) == 2
    assert '"lid"' in capsys.readouterr().err
