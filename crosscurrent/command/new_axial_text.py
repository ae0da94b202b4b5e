"""The text of a new case file round an axis: a coil of three turns of one shape, a billet in it, further tables."""

from collections.abc import Sequence

from crosscurrent.casefile.axial_checks import AXIAL, NOT_ROUND, NOT_ROUND_KEYS
from crosscurrent.casefile.keys import key_line, topics

from .catalogue import CATALOGUE
from .new_text import PLANE_TABLES, common_keys, with_study

SYMMETRY = "axial"  # the word that asks for such a case; any of its own tables does too
TURNS, BETWEEN = 3, 4.0  # turns, and the gap between two of them [mm]
LIMITS = ("current", "voltage", "waste")  # that are set on it
LEFT_OUT = {**NOT_ROUND_KEYS, "cooling": ("orientation",)}  # keys of tables that belong to straight runs
TABLES = (*AXIAL, *(table for table in PLANE_TABLES if table not in NOT_ROUND))
FURTHER = ("plating", "sweep", *TABLES)  # what it can have beside its turns; a coil in any case

_HEAD = """\
# A case round an axis: a coil and what it heats. Change it and solve it with
#     crosscurrent run {file}
# Quantities are text with a unit ("6 mm", "1/4 in", "85 kHz", "900 A", "70 degC"); counts and ratios are bare numbers.
# r points to the right from the axis, z up along it; currents are rms, positive out of the page right of the axis.

title = "{title}"
symmetry = "axial"
ambient = "20 degC"

[named]
gap = "6 mm"                 # from the billet to the turns

[frequency]
at = ["20 kHz"]              # "0 Hz" is direct current
{sweep}sweep = {{ from = "50 Hz", to = "1 MHz", points = 40 }}

[accuracy]
resistance = "0.1 %"         # wanted bound on the error of every loss and resistance

[[conductor]]
name = "billet"
shape = "bar"
width = "30 mm"              # across the axis: given whole
thickness = "60 mm"
edge_radius = "1 mm"
material = "stainless-304"
"""

_TURNS = """\
[[conductor]]
name = "turn"
shape = "{shape}"
{keys}place = {{ right_of = "billet", gap = "gap" }}
repeat = {{ count = {count}, gap = "{between:g} mm", along = "y" }}    # makes turn.1, turn.2 and so on
{common}"""

# names in the examples, and what stands for them here
_NAMES = {'"feed"': '"work"', '["outgoing", "return"]': '["turn.*"]', '"outgoing"': '"turn.1"', '"outgoing.': '"turn.'}


def axial_text(shapes: Sequence[str], file: str, further: Sequence[str] = ()) -> str:
    """A commented case file.

    Parameters
    ----------
    shapes : sequence of str
        One key of the catalogue, that of the turns; tubes if there is none.
    file : str
        Name of the file, for its first lines.
    further : sequence of str
        Of FURTHER.

    Examples
    --------
    >>> axial_text(["tube"], "coil.toml", ["power"]).count("[power]")
    1
    """
    shape = next(iter(shapes), "tube")
    keys = "".join(key_line(key) for key in CATALOGUE[shape].keys if not key.apart)
    common = "".join(line for line in common_keys(further).splitlines(keepends=True) if "repeat" not in line)
    turns = _TURNS.format(shape=shape, keys=keys, count=TURNS, between=BETWEEN, common=common)
    head = _HEAD.format(file=file, title=f"{shape}, a coil round a billet", sweep="" if "sweep" in further else "# ")
    tables = [_table(name) for name in dict.fromkeys(("coil", *with_study(further))) if name in ("coil", *TABLES)]
    return "\n".join([head, turns, *tables])


def _table(name: str) -> str:
    """The example of a table, in the words of such a case and without keys that it cannot have."""
    topic, left_out = topics()[name], LEFT_OUT.get(name, ())
    text = topic.example
    if name == "limits":
        keys = [key for key in topic.keys if key.name in LIMITS]
    else:
        keys = [key for key in topic.keys if not key.apart and key.name not in left_out]
    if left_out or name == "limits":
        text = "\n".join([topic.heading, "".join(key_line(key) for key in keys)])
    for word, here in _NAMES.items():
        text = text.replace(word, here)
    return text
