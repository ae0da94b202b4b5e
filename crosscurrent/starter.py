"""The text of a new case file: one conductor for each shape named, stacked with gaps, ready to run."""

from __future__ import annotations

from collections.abc import Sequence

from .catalogue import CATALOGUE, Entry

GAP = 10.0  # between the conductors of a new case [mm]

HEAD = """\
# A case: what carries which current, and where. Change it and solve it with
#     crosscurrent run {file}
# Quantities are text with a unit ("6 mm", "1/4 in", "85 kHz", "900 A", "70 degC"); counts and ratios are bare numbers.
# x points to the right, y up; currents are rms, positive out of the page.

title = "{title}"
length = "1 m"               # of the run: adds totals to the figures per metre
ambient = "20 degC"

[frequency]
at = ["50 Hz", "85 kHz"]     # "0 Hz" is direct current
# sweep = {{ from = "50 Hz", to = "1 MHz", points = 40 }}

[accuracy]
resistance = "0.1 %"         # wanted bound on the error of every loss and resistance
"""

COMMON = """\
material = "copper"          # or brass, aluminium-1350, ... or a [material.NAME] of your own
temperature = "70 degC"      # ambient if left out
# turn = "90 deg"            # counter-clockwise about the centre
# plating = [ { material = "silver", thickness = "10 um" } ]    # inside first
# repeat = { count = 2, step = ["60 mm", "0 mm"] }    # makes NAME.1 and NAME.2; a circuit then names NAME.*
"""

CIRCUIT = """\
[[circuit]]
name = "feed"
current = "100 A"
# Conductors that carry the current out of the page and back; several in a list are joined in parallel at both ends.
out = [{out}]
back = [{back}]
sharing = "free"             # in parallel: "free" as their impedances say, "equal" if they are transposed
"""


def case_text(shapes: Sequence[str], file: str) -> str:
    """A commented case file.

    Parameters
    ----------
    shapes : sequence of str
        Keys of the catalogue, at least one. A single one becomes a pair that goes out and comes back; of several,
        the first carries the current out and the others carry it back.
    file : str
        Name of the file, for its first lines.

    Examples
    --------
    >>> case_text(["bar", "tube"], "feed.toml").count("[[conductor]]")
    2
    """
    placed = list(shapes) * 2 if len(shapes) == 1 else list(shapes)
    title = f"{shapes[0]}, out and back" if len(shapes) == 1 else " and ".join(shapes)
    names = ["outgoing", "return", *(f"return-{k}" for k in range(2, len(placed)))]
    parts = [HEAD.format(file=file, title=title)]
    for name, shape, y in zip(names, placed, _heights([CATALOGUE[s] for s in placed]), strict=True):
        parts.append(_conductor(name, shape, y))
    parts.append(CIRCUIT.format(out=f'"{names[0]}"', back=", ".join(f'"{name}"' for name in names[1:])))
    return "\n".join(parts)


def _conductor(name: str, shape: str, y: float) -> str:
    lines = ["[[conductor]]", f'name = "{name}"', f'shape = "{shape}"']
    for key in CATALOGUE[shape].keys:
        value = f"{key.name} = {key.sample}"
        lines.append(f"{value:<28} # {key.meaning}" if len(value) < 60 else f"# {key.meaning}:\n{value}")
    lines.append(f'centre = ["0 mm", "{y:g} mm"]')
    return "\n".join(lines) + "\n" + COMMON


def _heights(entries: Sequence[Entry]) -> list[float]:
    """The y of each centre [mm]: a stack from the top down, a gap between neighbours, its middle at 0."""
    top = (sum(entry.height for entry in entries) + GAP * (len(entries) - 1)) / 2
    centres = []
    for entry in entries:
        centres.append(top - entry.height / 2)
        top -= entry.height + GAP
    return centres
