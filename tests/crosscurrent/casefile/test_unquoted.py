"""Quantities without quotes, which TOML cannot read."""

from __future__ import annotations

import tomllib

import pytest

from crosscurrent.casefile.unquoted import mended


@pytest.mark.parametrize(
    ("bare", "quoted"),
    [
        ("at = 400 Hz", 'at = "400 Hz"'),
        ("at = [400 Hz]", 'at = ["400 Hz"]'),
        ("at = [\n  1e3Hz,\n  2 kHz # two\n]", 'at = [\n  "1e3Hz",\n  "2 kHz" # two\n]'),
        ("sweep = { from = 50 Hz, to = 1 MHz }", 'sweep = { from = "50 Hz", to = "1 MHz" }'),
        ("width = 1 1/4 in\r\nlength = 2.4 m", 'width = "1 1/4 in"\r\nlength = "2.4 m"'),
        ('centre = ["0 mm", -3.5 mm]', 'centre = ["0 mm", "-3.5 mm"]'),
        ("conductivity = 100 %IACS", 'conductivity = "100 %IACS"'),
        ("thermal = 391 W/(m*K)", 'thermal = "391 W/(m*K)"'),
    ],
)
def test_quotes_are_put_where_they_are_missing(bare: str, quoted: str) -> None:
    found = mended(bare)
    assert found.text == quoted
    tomllib.loads(found.text)
    assert len(found.faults) == quoted.count('"') // 2 - bare.count('"') // 2


@pytest.mark.parametrize(
    "text",
    [
        'title = "x = 5 mm"',
        "# at = 400 Hz",
        'note = """\nat = 400 Hz\n"""',
        "count = 4",
        "ratio = 1e3",
        "date = 2026-11-29",
        "name = 5 apples",
        "[table.5 mm]",
    ],
)
def test_what_is_no_bare_quantity_stays(text: str) -> None:
    assert mended(text).text == text
    assert mended(text).faults == ()


def test_each_is_told_with_its_line() -> None:
    found = mended("\n\nat = [\n400 Hz,\n500 Hz]").faults
    assert [(fault.line, fault.found, fault.hint) for fault in found] == [
        (4, "400 Hz", 'add quotes: write "400 Hz"'),
        (5, "500 Hz", 'add quotes: write "500 Hz"'),
    ]
