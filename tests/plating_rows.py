"""Rows of the reference values on plating, as sections."""

import re

from common import frequency_for, metal
from reference_rows import rows

METALS = {
    "Ag": metal(62.9e6), "Cu": metal(58e6), "Au": metal(45.2e6), "Sn": metal(8.7e6), "brass": metal(15.9e6),
    "Al": metal(35.4e6), "Ni": metal(14.3e6), "Ni1": metal(14.3e6), "Ni100": metal(14.3e6, 100.0),
    "steel": metal(6e6, 100.0),
}  # fmt: skip


def by_depths():
    """Plating thickness in its own depths."""
    for row in rows("plating", 14, 111):
        names = re.match(r"(\w+)(\(mur=(\d+)\))? on (\w+)", row.conditions)
        coat = METALS[names[1] + (names[3] or "")]
        thickness = row.number("t/delta_plating") * 1e-3
        frequency = frequency_for(1e-3, coat.conductivity, coat.permeability)
        yield row, METALS[names[4]], [(coat, thickness)] if thickness else [], frequency


def by_micrometres(wanted):
    """Plating thickness in um at a frequency."""
    for row in rows("plating", 112, 261):
        frequency = row.number("f")
        if frequency != wanted:
            continue
        thickness = float(re.search(r"t=(\d+) um", row.conditions)[1]) * 1e-6
        system = re.match(r"Rs ratio (1um Au on )?(\w+)(\(mur(\d+)\))?/(\w+)", row.quantity)
        coats = [(METALS[system[2] + (system[4] or "")], thickness)]
        if system[1]:
            coats.append((METALS["Au"], 1e-6))
        yield row, METALS[system[5]], coats, frequency


def plated_rod(text):
    """Base, its diameter, coat and its thickness; of the copper-clad aluminium rod the row gives the outer diameter."""
    found = re.match(r"(\w+) rod .*?(\d+) mm(?: dia)? \+ ([\d.]+) (um|mm) (\w+)(?: mur=(\d+))?", text)
    coat = METALS[found[5] + (found[6] or "")]
    thickness = float(found[3]) * (1e-6 if found[4] == "um" else 1e-3)
    diameter = float(found[2]) * 1e-3 - (2 * thickness if found[1] == "Al" else 0)
    return METALS[found[1]], diameter, coat, thickness
