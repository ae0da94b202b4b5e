"""What the command `plating` puts on the terminal."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from pathlib import Path

from rich.text import Text

from crosscurrent.postprocess.answers.tables import TextTable
from crosscurrent.postprocess.answers.units import THOU, concise, engineering
from crosscurrent.solver.metals.finish import (
    WORTH,
    PlatingAnswer,
    PlatingFinish,
    plating_answer,
    price_of_roughness,
    table_thicknesses,
)
from crosscurrent.solver.metals.materials import Material

from .output import output, show_table

LAID = 50e-6  # thicker than this is seldom plated [m]: common practice, no source


def show_plating(
    finishes: Sequence[PlatingFinish], given: float | None, roughness: float | None, picture: Path | None
) -> None:
    """Tables, sentences and a picture for a finish at several frequencies.

    `given` is a thickness of the last layer to show as well [m], `roughness` the Rq of its face [m].
    """
    if picture is not None:
        from crosscurrent.postprocess.pictures.plating import draw_plating
        from crosscurrent.postprocess.pictures.style import save_one

        save_one(draw_plating(what_on_what(finishes[0]), finishes), picture)
    for finish in finishes:
        _show_one(finish, given, roughness)
    console = output()
    for metal in dict.fromkeys(finishes[0].metals):
        console.print(Text(_assumed(metal, finishes[0].temperature)))
    console.print(
        "\nPlate conducts worse than the bulk metal: the resistances take every metal as good as its bulk, the band "
        "from the poorest to the best of a bath."
    )
    if any(metal.thins_the_skin for metal in (finishes[0].base, *finishes[0].metals)):
        console.print(
            "Nickel and iron are magnetic: their skin is thin, and they cost more than their conductivity says. What "
            "the permeability is at your frequency is uncertain; measure a sample."
        )
    console.print("Wear, corrosion and solder joints may ask for more, or for another metal, than the current does.")
    if picture is not None:
        console.print(Text(f"Picture: {picture}"))


def what_on_what(finish: PlatingFinish) -> str:
    """The layers from the outside in.

    Examples
    --------
    >>> from crosscurrent.solver.metals.layers import Layer
    >>> from crosscurrent.solver.metals.materials import material
    >>> what_on_what(PlatingFinish(material("copper"), (Layer(material("nickel"), 2e-6),), material("gold"), 1e9))
    'Gold over 2 um of nickel on copper'
    """
    layers = [f"{_short(float(layer.thickness) * 1e6)} um of {layer.material.name}" for layer in finish.under[::-1]]
    over = " over ".join([finish.outer.name, *layers])
    return f"{over[0].upper()}{over[1:]} on {finish.base.name}"


def _show_one(finish: PlatingFinish, given: float | None, roughness: float | None) -> None:
    answer = plating_answer(finish)
    outer, base = finish.outer.name, finish.base.name
    heading = f"{what_on_what(finish)} at {concise(finish.frequency, 'Hz')}, {finish.temperature:g} degC"
    columns = (f"{outer} [um]", "[thou]", "in skin depths", "resistance per square", f"against bare {base}", "band",
               f"against solid {outer}")  # fmt: skip
    rows = [*table_thicknesses(finish), LAID if answer.enough > LAID else 0.0, given or 0.0]
    if _is_futile(finish, answer):
        rows = [thickness for thickness in rows if thickness <= max(LAID, given or 0.0)]
    once = {f"{thickness:.9g}": thickness for thickness in sorted(rows)}
    lines: list[tuple[str, ...]] = []
    for thickness, resistance, band in _values(finish, list(once.values())):
        lengths = (_short(thickness * 1e6).rjust(5), _short(thickness / THOU), f"{thickness / finish.depth:.2f}")
        lines.append((*lengths, *_compared(finish, resistance, band)))
    lines.append(("solid", "", "", *_compared(finish, finish.solid, "")))
    console = output()
    show_table(console, TextTable(heading, columns, tuple(lines)))
    for sentence in [*sentences(finish, answer), *_of_the_given(finish, given, roughness)]:
        console.print(Text(sentence))
    console.print()


def _values(finish: PlatingFinish, thicknesses: Sequence[float]) -> Iterator[tuple[float, float, str]]:
    import numpy as np

    every = np.array(thicknesses)
    band = finish.band(every)
    for k, resistance in enumerate(finish.resistance(every)):
        within = f"{_ratio(band[0][k] / finish.bare)} .. {_ratio(band[1][k] / finish.bare)}" if band else "-"
        yield thicknesses[k], float(resistance), within


def _compared(finish: PlatingFinish, resistance: float, band: str) -> tuple[str, str, str, str]:
    against = _ratio(resistance / finish.bare), band, _ratio(resistance / finish.solid)
    return engineering(resistance, "ohm", 4), *against


def sentences(finish: PlatingFinish, answer: PlatingAnswer) -> list[str]:
    """The answers in words: enough, lowest, where it hurts, how far this holds."""
    outer, base = finish.outer.name, finish.base.name
    lines = _enough(finish, answer)
    if answer.lowest and not _is_futile(finish, answer):
        thickness, resistance = answer.lowest
        lines.append(
            f"Lowest at {_length(thickness)}, {thickness / finish.depth:.2f} depths: "
            f"{_ratio(resistance / finish.bare)} of bare {base}, {_ratio(resistance / finish.solid)} of solid {outer}."
        )
    for start, end in answer.hurts:
        if start == 0:
            reach = f"up to {_length(end)}" if math.isfinite(end) else "at every thickness, the layers below included"
        else:
            reach = f"from {_length(start)} " + (f"to {_length(end)}" if math.isfinite(end) else "on")
        lines.append(f"It hurts {reach}: more than 1 % worse than bare {base}.")
    if not answer.hurts:
        lines.append(f"Nowhere more than 1 % worse than bare {base}, if the plate is as good as the bulk.")
    if answer.highest:
        thickness, resistance = answer.highest
        lines.append(f"Worst at {_length(thickness)}: {_ratio(resistance / finish.bare)} times bare {base}.")
    if finish.is_uncertain and answer.poorest > (1 + WORTH) * finish.bare:
        poorest = _ratio(answer.poorest / finish.bare)
        lines.append(f"Over what baths make of the metals: up to {poorest} times bare {base}.")
    three = 3 * finish.base.skin_depth(finish.frequency, finish.temperature)
    lines.append(f"Holds for flat faces, the field on one side, {base} thicker than {_length(three)} (three depths).")
    return lines


def _is_futile(finish: PlatingFinish, answer: PlatingAnswer) -> bool:
    """Whether what a bath lays is nothing to the skin."""
    if answer.enough <= LAID:
        return False
    start, laid = (float(finish.surface(thickness).resistance) for thickness in (0.0, LAID))
    return abs(laid / start - 1) < WORTH


def _enough(finish: PlatingFinish, answer: PlatingAnswer) -> list[str]:
    outer = finish.outer.name
    least, most = answer.enough_within
    if _is_futile(finish, answer):
        return [
            f"No sensible plating helps at this frequency: {_length(LAID)} of {outer}, about the most a bath lays "
            "(common practice, no source), changes the resistance by less than 1 %; it would take "
            f"{_length(answer.enough)}."
        ]
    if answer.enough == 0:
        chance = f" (the best plate: up to {_length(most)})" if most else ""
        return [f"No thickness of {outer} buys 1 %{chance}: for the current alone leave it out."]
    lines = [f"Enough: {_length(answer.enough)}; more {outer} buys less than 1 %."]
    if least == 0:
        lines.append("The poorest plate does not buy 1 %: put its conductivity on the drawing, or leave it out.")
    elif finish.is_uncertain:
        lines.append(f"Over what baths make of the metals: {_length(least)} to {_length(most)}.")
    if 0 < least <= most <= LAID:
        lines.append(f"For the drawing: {outer}, at least {_length(most)}, on the faces that carry the current.")
    if most > LAID:
        lines.append(
            f"Baths seldom lay more than {_length(LAID)} (common practice, no source): take what the table gives for "
            f"that, or solid or clad {outer}."
        )
    return lines


def _of_the_given(finish: PlatingFinish, given: float | None, roughness: float | None) -> Iterator[str]:
    outer = finish.outer.name
    if given:
        share = float(finish.surface(given).loss_shares[-1])
        yield f"At {_length(given)} the {outer} takes {100 * share:.0f} % of the loss, what lies below it the rest."
    if roughness:
        factor, low, high = price_of_roughness(finish, given, roughness)
        metal = f"{_length(given)} of {outer}" if given else f"solid {outer}"
        yield (
            f"Polish: a face of Rq {_length(roughness)} has {factor:.3f} times the resistance of a polished one on "
            f"{metal}; published models say {low:.3f} to {high:.3f}."
        )


def _assumed(metal: Material, temperature: float) -> str:
    here = f"{metal.conductivity_at(temperature) / 1e6:.3g} MS/m as bulk at {temperature:g} degC"
    if metal.as_plated is None:
        return f"{metal.name}: {here}; nothing is assumed about its plate."
    low, high = (s / 1e6 for s in metal.as_plated.conductivity)
    bounds = f"{low:g} to {high:g} MS/m at {metal.reference:g} degC"
    if metal.permeability != 1:
        here += f" with permeability {metal.permeability:g}"
        bounds += " and permeability {:g} to {:g}".format(*metal.as_plated.permeability)
    return f"{metal.name}: {here}; as plate {bounds} ({metal.as_plated.source})."


def _length(length: float) -> str:
    metric = f"{_short(length * 1e6)} um" if length < 0.9995e-3 else f"{_short(length * 1e3)} mm"
    return f"{metric} ({_short(length / THOU)} thou)"


def _short(value: float) -> str:
    """Three significant digits without an exponent or trailing zeros."""
    if value == 0:
        return "0"
    text = f"{value:.{max(0, 2 - math.floor(math.log10(value) + 1e-9))}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def _ratio(value: float) -> str:
    return f"{value:.3f}" if 0.1 <= value < 10 else f"{value:.1f}" if value >= 10 else _short(value)
