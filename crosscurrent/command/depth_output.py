"""What the command `depth` puts on the terminal."""

from __future__ import annotations

import math
from collections.abc import Sequence

from crosscurrent.postprocess.answers.tables import TextTable
from crosscurrent.postprocess.answers.units import THOU, concise, engineering
from crosscurrent.solver.metals.depth import BEST_DEPTHS, sheet_resistance, worthwhile_thickness
from crosscurrent.solver.metals.materials import Material

from .output import output, show_table


def show_depths(metals: Sequence[Material], frequencies: Sequence[float], temperature: float) -> None:
    """The table of the command `depth`: frequencies [Hz], one temperature [degC]."""
    rows = []
    for metal in metals:
        for frequency in frequencies:
            delta = metal.skin_depth(frequency, temperature)
            enough = worthwhile_thickness(delta)
            sheet = sheet_resistance(metal.conductivity_at(temperature), delta)
            lengths = [(_digits(length * 1e3), _digits(length / THOU)) for length in (delta, enough)]
            rows.append((metal.name, concise(frequency, "Hz"), *lengths[0], engineering(sheet, "ohm", 4), *lengths[1]))
    columns = ("metal", "at", "skin depth [mm]", "[thou]", "sheet resistance", "worth paying for [mm]", "[thou]")
    console = output()
    show_table(console, TextTable(f"Skin depth at {temperature:g} degC", columns, tuple(rows)))
    console.print(
        f"Worth paying for: from {worthwhile_thickness(1.0):.2f} skin depths on, no thicker wall has 1 % less "
        f"resistance (field on one side; take twice that with the field on both). The best wall has {BEST_DEPTHS:.2f} "
        "skin depths, 8.3 % below a very thick one; the sheet resistance is that of a very thick one.\n"
    )
    for metal in metals:
        here = f"{metal.conductivity_at(temperature) / 1e6:.4g} MS/m at {temperature:g} degC"
        magnetic = f", relative permeability {metal.permeability:g}" if metal.permeability != 1 else ""
        console.print(f"{metal.name}: {here}{magnetic}. Source: {metal.source}.", markup=False)
        if metal.note:
            console.print(f"    Mind: {metal.note}.", markup=False)


def _digits(value: float) -> str:
    """Four significant digits without an exponent."""
    return f"{value:.{max(0, 3 - math.floor(math.log10(value)))}f}"
