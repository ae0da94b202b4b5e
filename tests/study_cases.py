"""Small cases for studies: what they vary is added at the end."""

from __future__ import annotations

from pathlib import Path

from crosscurrent.casefile.case import Case
from crosscurrent.casefile.reader import read_case

ROD = """
[frequency]
at = ["0 Hz"]

[named]
size = "20 mm"
metal = "copper"

[[conductor]]
name = "rod"
shape = "round"
diameter = "size"
material = "metal"

[[circuit]]
name = "feed"
current = "100 A"
out = ["rod"]
"""

STACK = """
[frequency]
at = ["50 Hz"]

[[conductor]]
name = "bar"
shape = "bar"
width = "10 mm"
thickness = "60 mm"
material = "copper"
repeat = { count = 6, gap = "10 mm", along = "x" }

[[circuit]]
name = "L1"
current = "1 kA"
out = ["bar.1", "bar.2"]

[[circuit]]
name = "L2"
current = "1 kA"
phase = "-120 deg"
out = ["bar.3", "bar.4"]

[[circuit]]
name = "L3"
current = "1 kA"
phase = "120 deg"
out = ["bar.5", "bar.6"]

[[vary]]
orders = "all"
of = "bar"
circuits = ["L1", "L2", "L3"]
"""


def written(folder: Path, text: str) -> Case:
    """A case file with this text, read."""
    path = folder / "case.toml"
    path.write_text(text, encoding="utf-8")
    return read_case(path)

FOILS = """
[frequency]
at = ["10 kHz"]

[named]
between = "0.3 mm"

[[conductor]]
name = "foil"
shape = "bar"
width = "0.5 mm"
thickness = "300 mm"
material = "copper"
repeat = { count = 4, gap = "between", along = "x" }

[[circuit]]
name = "out"
current = "100 A"
out = ["foil.1", "foil.2"]
sharing = "equal"

[[circuit]]
name = "back"
current = "100 A"
phase = "180 deg"
out = ["foil.3", "foil.4"]
sharing = "equal"

[[vary]]
orders = "all"
of = "foil"
circuits = ["out", "back"]
"""
