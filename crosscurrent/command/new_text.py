"""The text of a new case file: one conductor for each shape named, stacked with gaps, and further tables."""


import re
from collections.abc import Sequence

from crosscurrent.casefile.axial_checks import AXIAL
from crosscurrent.casefile.keys import key_line, topics

from .catalogue import CATALOGUE, Entry

GAP = 10.0  # between the conductors of a new case [mm]

_HEAD = """\
# A case: what carries which current, and where. Change it and solve it with
#     crosscurrent run {file}
# Quantities are text with a unit ("6 mm", "1/4 in", "85 kHz", "900 A", "70 degC"); counts and ratios are bare numbers.
# x points to the right, y up; currents are rms, positive out of the page.

title = "{title}"
length = "1 m"               # of the run: adds totals to the figures per metre
ambient = "20 degC"

[frequency]
{at:<28} # "0 Hz" is direct current
{sweep}sweep = {{ from = "50 Hz", to = "1 MHz", points = 40 }}

[accuracy]
resistance = "0.1 %"         # wanted bound on the error of every loss and resistance
"""

_COMMON = """\
material = "copper"          # or brass, aluminium-1350, ... or a [material.NAME] of your own
temperature = "70 degC"      # ambient if left out
# turn = "90 deg"            # counter-clockwise about the centre
{plating}plating = [ {{ material = "silver", thickness = "10 um" }} ]    # inside first
# repeat = {{ count = 2, step = ["60 mm", "0 mm"] }}    # makes NAME.1 and NAME.2; a circuit then names NAME.*
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

_PHASE = """\
[[circuit]]
name = "{name}"
current = "100 A"
phase = "{phase} deg"
out = ["{name}"]                 # out only: the three together are zero
"""

_NAMED = """\
[named]
gap = "10 mm"                # between neighbours
"""

_PHASES = {"L1": "0", "L2": "-120", "L3": "120"}
# names of the examples, and what stands for them among three phases
_AMONG_PHASES = {
    '["feed"]': '["L1", "L2", "L3"]',
    '["outgoing", "return"]': '["L1", "L2", "L3"]',
    '"feed"': '"L1"',
    '"outgoing"': '"L1"',
    '"outgoing.': '"L1.',
    '"return"': '"L2"',
}
_IN_EVERY_CASE = ("frequency", "accuracy", "material", "conductor", "circuit", "named")
_LEFT_OUT = (*_IN_EVERY_CASE, *AXIAL, "measured")  # the last needs its file
PLANE_TABLES = tuple(t.name for t in topics().values() if t.heading.startswith("[") and t.name not in _LEFT_OUT)
FURTHER = ("three-phase", "plating", "sweep", *PLANE_TABLES)  # what a new case can have beside its shapes


def case_text(shapes: Sequence[str], file: str, further: Sequence[str] = ()) -> str:
    """A commented case file.

    Parameters
    ----------
    shapes : sequence of str
        Keys of the catalogue. A single one becomes a pair that goes out and comes back, or each of three phases (else
        three are named); of several, the first carries the current out, the others back. None: bars, for water tubes.
    file : str
        Name of the file, for its first lines.
    further : sequence of str
        Of FURTHER.

    Examples
    --------
    >>> case_text(["bar", "tube"], "feed.toml").count("[[conductor]]")
    2
    >>> case_text([], "phases.toml", ["three-phase", "limits"]).count("[[circuit]]")
    3
    """
    phases, shapes = "three-phase" in further, shapes or ["tube" if "water" in further else "bar"]
    placed = list(shapes) * (3 if phases else 2) if len(shapes) == 1 else list(shapes)
    names = [*_PHASES] if phases else ["outgoing", "return", *(f"return-{k}" for k in range(2, len(placed)))]
    arrangement = "three phases" if phases else "out and back"
    title = " and ".join(shapes) if len(shapes) > 1 else f"{shapes[0]}, {arrangement}"
    wanted = list(dict.fromkeys(with_study(further)))
    parts = [head(file, title, further), *([_NAMED] if "vary" in wanted else [])]
    heights = _heights([CATALOGUE[s] for s in placed])
    for k, (name, shape, y) in enumerate(zip(names, placed, heights, strict=True)):
        below = f'place = {{ below = "{names[k - 1]}", gap = "gap" }}' if k and "vary" in wanted else ""
        parts.append(_conductor(name, shape, below or f'centre = ["0 mm", "{y:g} mm"]') + common_keys(further))
    parts += [_PHASE.format(name=n, phase=p) for n, p in _PHASES.items()] if phases else [_pair(names)]
    tables = [topics()[name].example for name in wanted if name in PLANE_TABLES]
    return "\n".join([*parts, *(_among_phases(table) if phases else table for table in tables)])


def with_study(further: Sequence[str]) -> Sequence[str]:
    """What a new case is to have: a study needs something that varies.

    Examples
    --------
    >>> with_study(["limits", "study"])
    ['limits', 'vary', 'study']
    """
    return [each for word in further for each in (("vary", "study") if word == "study" else (word,))]


def head(file: str, title: str, further: Sequence[str] = ()) -> str:
    """The top of a new case: its title, length, frequencies and accuracy.

    Examples
    --------
    >>> head("a.toml", "A").splitlines()[1]
    '#     crosscurrent run a.toml'
    """
    at = 'at = ["50 Hz"]' if "three-phase" in further else 'at = ["50 Hz", "85 kHz"]'
    return _HEAD.format(file=file, title=title, at=at, sweep="" if "sweep" in further else "# ")


def common_keys(further: Sequence[str] = ()) -> str:
    """What a conductor of a new case says below its dimensions and place.

    Examples
    --------
    >>> common_keys(["plating"]).splitlines()[3].split(" = ")[0], common_keys().splitlines()[3].split(" = ")[0]
    ('plating', '# plating')
    """
    return _COMMON.format(plating="" if "plating" in further else "# ")


def _pair(names: Sequence[str]) -> str:
    return CIRCUIT.format(out=f'"{names[0]}"', back=", ".join(f'"{name}"' for name in names[1:]))


def _among_phases(table: str) -> str:
    for name, phase in _AMONG_PHASES.items():
        table = table.replace(name, phase)
    return re.sub(r"(?m)^([^#\n].*?) +# ", lambda line: f"{line[1]:<28} # ", table)


def _conductor(name: str, shape: str, place: str) -> str:
    keys = "".join(key_line(key) for key in CATALOGUE[shape].keys if not key.apart)
    return f'[[conductor]]\nname = "{name}"\nshape = "{shape}"\n{keys}{place}\n'


def _heights(entries: Sequence[Entry]) -> list[float]:
    """The y of each centre [mm]: a stack from the top down, a gap between neighbours, its middle at 0."""
    top = (sum(entry.height for entry in entries) + GAP * (len(entries) - 1)) / 2
    centres = []
    for entry in entries:
        centres.append(top - entry.height / 2)
        top -= entry.height + GAP
    return centres
