"""What is said per metre of a straight run, as it is said of a section round an axis: per turn, or in total."""

from __future__ import annotations

import re

# a power, a voltage, an impedance or a force per metre; A/m and S/m stay what they are
_PER_METRE = re.compile(r"(?<![A-Za-z*/])([munpfkMG]?)(W|V|ohm|Ω|H|F|N|J|Wb|C|kg)/m(?![\w2^(*])")
_PHRASES = {
    "loop, per metre": "all its turns",
    "Voltage along the run": "Voltage at the terminals",
    "out and back together": "all its turns together",
    "(rms, per metre of run)": "(rms, per turn)",
    "per metre of run": "per turn",
    "per metre": "in total",
    "along the run": "round the turns",
    "force x": "radial force",
    "force y": "axial force",
    "R loop": "R",
    "L loop": "L",
    "X loop": "X",
}


def per_turn(text: str) -> str:
    """A text on a section round an axis: figures of turns and circuits lose their "per metre".

    Examples
    --------
    >>> per_turn("R 2.5 mohm/m in a field of 3 kA/m, 40 W/m (rms, per metre of run)")
    'R 2.5 mohm in a field of 3 kA/m, 40 W (rms, per turn)'
    """
    for plane, axial in _PHRASES.items():
        text = text.replace(plane, axial)
    return _PER_METRE.sub(r"\1\2", text)
