"""What the command `strands` puts on the terminal."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path

import numpy as np
from rich.text import Text

from crosscurrent.postprocess.answers.cautions import ALWAYS, BURNS, HIGH_FREQUENCY
from crosscurrent.postprocess.answers.tables import TextTable
from crosscurrent.postprocess.answers.units import concise, engineering
from crosscurrent.postprocess.topics.enamel import beyond_class
from crosscurrent.solver.metals.round_bundle import PlacedBundle, RoundBundle, wire_resistance
from crosscurrent.solver.metals.strand_choice import Against, StrandChoice, worth_buying
from crosscurrent.solver.metals.strands import Strands
from crosscurrent.solver.metals.wire_tables import enamelled_diameter, usual_take_up

from .output import output, show_table

USUAL_DENSITY = 4e6  # of a bundle in still air [A/m2]: common practice, no source
DENSE = 8e6  # above this a bundle wants air or water [A/m2]: common practice, no source
_CLAIM = (7, 0.04e-3, 0.25e-3)  # strands, their diameter, the wire [m]
_CLAIMED_AT = (10e3, 100e3, 1e6, 3e6, 10e6, 30e6)  # [Hz]


def show_strands(found: Sequence[StrandChoice], given: Against, current: float | None, picture: Path | None) -> None:
    """What to buy, tables and a picture: what was `given` is the size over the strands or the copper; current [A]."""
    first = found[0]
    if picture is not None:
        from crosscurrent.postprocess.pictures.strands import draw_strands
        from crosscurrent.postprocess.pictures.style import save_one

        save_one(draw_strands(found, given), picture)
    console = output()
    where = f"{concise(first.frequency, 'Hz')}, {first.metal.name} at {first.temperature:g} degC"
    best = worth_buying(tuple(found))
    for sentence in (*_advice(best, found), *_of_the_current(best, current)):
        console.print(Text(sentence))
    console.print()
    show_table(console, _bundles(found, where, current))
    show_table(console, _wins(found))
    for sentence in (*_assumed(best), *(_cautions(best) if current else ())):
        console.print(Text(sentence))
    console.print()
    show_table(console, _claim(first))
    console.print(Text(_about_the_claim(first)))
    if picture is not None:
        console.print(Text(f"Picture: {picture}"))


def _bundles(found: Sequence[StrandChoice], where: str, current: float | None) -> TextTable:
    columns = ("strand [mm]", "strands", "over them [mm]", "copper [mm2]", "resistance", "R/Rdc",
               "of a wire as thick", "of a wire of its copper", *(("loss",) if current else ()))  # fmt: skip
    rows = []
    for one in found:
        at = np.array(one.frequency)
        sizes = f"{one.strand * 1e3:.4g}", str(one.count), f"{one.bundle.diameter * 1e3:.4g}"
        shares = (f"{one.resistance / float(one.wire(rival, at)):.3f}" for rival in ("size", "copper"))
        loss = (engineering(one.resistance * current**2, "W/m", 3),) if current else ()
        resistance = engineering(one.resistance, "ohm/m", 4)
        ratio = f"{one.resistance / one.at_rest:.3f}"
        rows.append((*sizes, f"{one.bundle.bare * 1e6:.3g}", resistance, ratio, *shares, *loss))
    return TextTable(f"Bundles of fine strands at {where}", columns, tuple(rows))


def _wins(found: Sequence[StrandChoice]) -> TextTable:
    columns = ("strand [mm]", "beats a wire as thick", "at best", "at", "beats a wire of its copper", "most in a group")
    rows = []
    for one in found:
        gain, at = one.best("size")
        best = (f"{gain:.2f} times", concise(at, "Hz", 2)) if gain > 1 else ("-", "-")
        group = str(one.group) if one.group > 2 else "-"
        rows.append((f"{one.strand * 1e3:.4g}", _range(one, "size"), *best, _range(one, "copper"), group))
    return TextTable("Over all frequencies", columns, tuple(rows))


def _range(one: StrandChoice, against: Against) -> str:
    wins = one.wins(against)
    return "never" if wins is None else " to ".join(concise(f, "Hz", 3) for f in wins)


def _advice(best: StrandChoice, found: Sequence[StrandChoice]) -> Iterator[str]:
    at = np.array(best.frequency)
    here = concise(best.frequency, "Hz")
    size, copper = (best.resistance / float(best.wire(rival, at)) for rival in ("size", "copper"))
    what = f"{best.count} strands of {best.strand * 1e3:.4g} mm"
    if size >= 1 and copper >= 1:
        yield (
            f"At {here} no bundle of these pays: {what}, the best, has {size:.2f} times the resistance of one wire "
            "of its diameter. Take one wire, or a tube."
        )
        return
    yield (
        f"Worth buying at {here}: {what} ({best.insulated * 1e3:.3g} mm with enamel), "
        f"{best.bundle.diameter * 1e3:.3g} mm over them: {size:.2f} of the resistance of one wire as thick, "
        f"{copper:.2f} of one of its copper."
    )
    if any(one.strand < best.strand for one in found):
        yield "Finer ones gain less than 5 %, and cost more."
    if best.count > best.group > 2:
        yield (
            f"Bunch at most {best.group} strands into one group and strand the groups, five or fewer at a time "
            "(Sullivan and Zhang 2014, from memory): larger groups have a skin of their own."
        )
    elif best.group <= 2:
        yield "These strands are thick for the frequency: every one must be transposed by itself."


def _of_the_current(best: StrandChoice, current: float | None) -> Iterator[str]:
    if not current:
        return
    density = current / best.bundle.bare
    loss = best.resistance * current**2
    yield f"{concise(current, 'A')} in it: {density / 1e6:.3g} A/mm2 and {engineering(loss, 'W/m', 3)}."
    if density > DENSE:
        yield (
            f"Above {DENSE / 1e6:g} A/mm2 a bundle wants moving air or water (common practice, no source): it conducts "
            "heat poorly across, its middle is the hottest, and enamel has its limit."
        )
    else:
        yield (
            f"In still air {USUAL_DENSITY / 1e6:g} A/mm2 are usual (common practice, no source). Whether it stays "
            "below what its enamel bears is to be measured: a bundle conducts heat poorly across."
        )


def _cautions(best: StrandChoice) -> tuple[str, ...]:
    return *ALWAYS, *((HIGH_FREQUENCY,) if best.frequency >= BURNS else ())


def _assumed(best: StrandChoice) -> Iterator[str]:
    yield (
        "Assumed: enamel of grade 1, the middle of what IEC 60317-0-1 allows; bundled without a form, 1.28 sqrt(n) "
        f"times the insulated strand; take-up {best.bundle.strands.take_up:g} by the number of stranding operations "
        "(all by trade practice, from memory)."
    )
    yield (
        "Holds for a bundle alone, perfectly transposed, whose strands lie evenly: within 0.1 % of the same as a case "
        "up to strands of a skin depth in radius, 3 % up to 2.5. A diameter 1 % smaller adds 2 % to what proximity "
        'costs. Beside other conductors, and in a winding, it loses more: put it into a case as shape = "bundle".'
    )
    if too_hot := beyond_class(best.temperature):
        yield f"Warning: {best.temperature:g} degC are {too_hot}."
    yield "Hot copper has more resistance; a joint must reach every strand, or part of the bundle carries nothing."


def _claim(like: StrandChoice) -> TextTable:
    bundle, wire = _claimants()
    f = np.array(_CLAIMED_AT)
    ours = bundle.resistance(like.metal, f, like.temperature)
    theirs = wire_resistance(wire, like.metal, f, like.temperature)
    rows = [
        (concise(at, "Hz"), engineering(one, "ohm/m", 3), engineering(other, "ohm/m", 3), f"{one / other:.2f}")
        for at, one, other in zip(_CLAIMED_AT, ours.tolist(), theirs.tolist(), strict=True)
    ]
    columns = ("at", "7 strands of 0.04 mm", "one wire of 0.25 mm", "strands over wire")
    return TextTable('"More circumference, so better"', columns, tuple(rows))


def _claimants() -> tuple[RoundBundle, float]:
    count, strand, wire = _CLAIM
    insulated = enamelled_diameter(strand, "grade 1")
    return PlacedBundle(Strands(count, strand, take_up=usual_take_up(1)), 3 * insulated, insulated), wire  # they touch


def _about_the_claim(like: StrandChoice) -> str:
    count, strand, wire = _CLAIM
    around, copper = count * strand / wire, count * (strand / wire) ** 2
    bundle, _ = _claimants()
    f = np.geomspace(_CLAIMED_AT[0], _CLAIMED_AT[-1], 100)
    least = bundle.resistance(like.metal, f, like.temperature) / wire_resistance(wire, like.metal, f, like.temperature)
    return (
        f"Seven strands of 0.04 mm have {100 * (around - 1):.0f} % more circumference than one wire of 0.25 mm, but "
        f"{100 * copper:.0f} % of its copper. From 10 kHz to 30 MHz they have {least.min():.1f} to {least.max():.1f} "
        "times its resistance (within 1 %), even sharing perfectly: below some 100 kHz copper counts, above it the "
        "strands lie in each other's field, and only part of each circumference carries."
    )
