"""What the trade calls tables of a case file and their keys: the words of the page's forms."""

from __future__ import annotations

import re

TITLES = {
    "cooling": "air and heat", "joint": "joints", "duty": "duties", "field": "stray field", "coil": "coils",
    "circuit": "circuits", "material": "metals of your own", "vary": "what a study varies", "fault": "short circuit",
    "measured": "measurement", "slopes": "what changes the figures", "power": "wanted power", "tank": "capacitor",
    "heating": "heating of pieces", "voltage": "voltage and drop",
}  # fmt: skip
# a key, or a key of one table
LABELS = {
    "temperature_bare": "temperature of bare metal", "temperature_plated": "temperature of plated metal",
    "temperature_insulated": "temperature under insulation", "temperature_touchable": "temperature where touched",
    "insulated": "which are insulated", "touchable": "which can be touched",
    "fault_temperature": "temperature after a fault", "piece_temperature": "temperature of a piece",
    "piece_power": "power in other pieces", "wall_temperature": "wall of the bore", "x_over_r": "X over R",
    "on": "flows for", "off": "then none for", "at": "at", "held": "held at their temperature",
    "air_speed": "speed of the air", "air": "stands in", "into": "pieces to heat", "wanted": "power in them",
    "sheet": "paper", "of": "figures", "read_as": "+- means", "wall_limit": "limit of the wall",
    "outlet_limit": "limit at the outlet", "limits.field": "stray field", "vary.of": "whose copies change places",
    "study.at": "judged at", "frequency.at": "all of", "number": "how many", "repeat": "copies",
    "material": "metal", "temperature_limit": "temperature not to pass", "clad": "piece", "plating": "coat",
    "plating_inside": "coat of the bore", "bends": "bends of 90\N{DEGREE SIGN}",
    "over_temperature": "constants over temperature", "harmonics": "harmonic", "lines": "line",
    "field.points": "point",
}  # fmt: skip


def title(table: str) -> str:
    """What the trade calls a table."""
    return TITLES.get(table, table)


def in_titles(words: str) -> str:
    """Words in which tables have the trade's names.

    Examples
    --------
    >>> in_titles("it needs [cooling] or [[water]]; [0, 1] stays")
    'it needs air and heat or water; [0, 1] stays'
    """
    return re.sub(r"\[+([a-z]+)\]+", lambda found: title(found[1]), words)


def labels(key: str, table: str) -> str:
    """What the trade calls a key of a table, or each of several on the way to one.

    Examples
    --------
    >>> labels("plating 2 thickness", "conductor"), labels("on", "duty"), labels("field", "limits")
    ('coat 2 thickness', 'flows for', 'stray field')
    """
    said = (LABELS.get(f"{table}.{word}") or LABELS.get(word) or word.replace("_", " ") for word in key.split(" "))
    return " ".join(said)
