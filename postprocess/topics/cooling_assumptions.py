"""What the temperatures in air take for granted, in words and with its sources."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from crosscurrent.solver.heat.convection import SCATTER, Correlation
from crosscurrent.solver.heat.cooling import Cooling, Finish
from crosscurrent.solver.heat.strand_heat import across_strands

from .cooling import CoolingAnswer

SHIFT = 0.2  # most that thermal conductivities change from 20 to 200 degC


def assumptions(cooling: Cooling, found: Sequence[CoolingAnswer], *, axial: bool = False) -> list[str]:
    """Everything that was taken for granted, with sources."""
    stream, finish = cooling.stream, cooling.finish
    lines = [
        f"air and surroundings at {cooling.air:g} degC, {stream.altitude:g} m above the sea",
        _stance(cooling, axial) + (f", {stream.length:g} m long" if stream.tilt else ""),
        f"finish {finish.name}: emissivity {finish.emissivity:g} ({finish.low:g} to {finish.high:g}), {finish.source}",
        *(
            f"finish {f.name} of {', '.join(names)}: emissivity {f.emissivity:g} ({f.low:g} to {f.high:g}), {f.source}"
            for f, names in _own_finishes(cooling).items()
        ),
        f"moving air: correlations good to +-{100 * SCATTER:.0f} %, each inside its range; the band takes them and the "
        "emissivity together at their worst and best",
    ]
    if stream.speed:
        lines.append(f"air blown {_across(axial)} at {stream.speed:g} m/s")
    lines += _round_the_axis(cooling) if axial else ()
    lines += [f"{c.name}: {c.source}; {c.number} {c.low:g} to {c.high:g}" for c in _correlations(found)]
    parts = {p.name: p for w in found for p in (c.part for c in w.conductors)}.values()
    if any(p.shape.holes for p in parts):
        lines.append("a bore with nothing in it lets no heat out")
    if any(w.state is not None and (w.state.balance.exchange.panels.view_factors.facing >= 0).any() for w in found):
        lines.append(
            "faces that face each other exchange radiation (view factors of the section) and conduct through the air "
            "between them; the room's air reaches one gap width into a gap, and beyond that only between upright "
            "faces, as A. Bar-Cohen and W. M. Rohsenow (J. Heat Transfer 106, 116, 1984) found for channels"
        )
    states = [w.state.balance for w in found if w.state is not None]
    if states:
        inside = max(float((balance.hottest[0] - balance.surface).max()) for balance in states)
        lines.append(
            "thermal conductivity as near room temperature; from 20 to 200 degC that of copper falls by 3 %, that of "
            "carbon steel by 14 %, that of aluminium stays within 2 %, that of stainless steel rises by 19 % (F. P. "
            "Incropera and D. P. DeWitt, table A.1, from memory): here the hottest point lies "
            f"{inside:.2g} K above the mean of its surface, so that this shifts it by less than {SHIFT * inside:.1g} K"
        )
    lines += through_strands(found)
    guessed = sorted({m.name for w in found for c in w.conductors for m in c.metals if m.thermal_conductivity is None})
    if guessed:
        lines.append(f"thermal conductivity of {', '.join(guessed)} from Wiedemann and Franz, good to about 20 %")
    return lines


def through_strands(found: Sequence[CoolingAnswer]) -> Iterator[str]:
    """How heat crosses the strands of bundles, and what that leaves open."""
    said: dict[str, list[str]] = {}
    for point in found:
        if point.state is None:
            continue
        balance = point.state.balance
        for k, conductor in enumerate(point.conductors):
            across, rise = across_strands(conductor), float(balance.hottest[0][k] - balance.surface[k])
            if across is not None:
                cooler = rise * (1 - across.low / across.high)
                text = (
                    f"heat crosses its strands with {across.low:.2g} W/(m K), air between them (Z. Hashin and S. "
                    f"Shtrikman's lower bound, from memory): the middle lies {rise:.2g} K above the surface; with "
                    f"resin in every space {across.high:.2g} W/(m K), and the middle {cooler:.2g} K cooler"
                )
                said.setdefault(text, []).append(conductor.name)
    yield from (f"{', '.join(dict.fromkeys(names))}: {text}" for text, names in said.items())


def strands_in_air(names: Sequence[str]) -> tuple[str, ...]:
    """What to know of bundles whose strands are each solved for."""
    return (
        (
            f"{', '.join(names)}: each strand is solved for, and cooled as a wire of its own with open air around: too "
            "cool",
        )
        if names
        else ()
    )


def correlated(found: Sequence[CoolingAnswer]) -> tuple[str, ...]:
    """The correlations that were used, with their sources, in one sentence."""
    used = "; ".join(f"{c.name}: {c.source}" for c in _correlations(found))
    return (f"moving air by {used}; each inside its range and good to +-{100 * SCATTER:.0f} %",) if used else ()


def _round_the_axis(cooling: Cooling) -> Iterator[str]:
    """What is taken for granted of turns and bodies round an axis."""
    yield (
        "turns as straight runs bent round: that a turn is bent changes its film only where its section is not small "
        "beside its radius, which is left out; bodies on the axis as upright plates, lying discs and spheres"
        if not cooling.lying
        else "turns, place by place round the axis, as straight runs from level to upright, their mean taken; thick "
        "bodies as level cylinders with upright ends"
    )
    yield (
        "room air fills the bore of a coil; that a turn stands in the warm air of those below, or in the lee of "
        "others, is left out: too cool for close turns of a long coil"
    )
    yield (
        "surfaces of revolution see each other by rays from each (view factors within 0.5 % of those of discs and "
        "cylinders): close turns radiate as their envelope"
    )


def taken(cooling: Cooling, *, axial: bool = False) -> str:
    """The assumptions that matter most, in one sentence."""
    stream, finish = cooling.stream, cooling.finish
    own = "".join(
        f", of {', '.join(names)} {f.name} ({f.low:g} to {f.high:g})" for f, names in _own_finishes(cooling).items()
    )
    blown = f", blown {_across(axial)} at {stream.speed:g} m/s" if stream.speed else ""
    height = f", {stream.altitude:g} m above the sea" if stream.altitude else ""
    long = f" and {stream.length:g} m long" if stream.tilt else ""
    return (
        f"taken: air and surroundings at {cooling.air:g} degC{blown}{height}, {_stance(cooling, axial)}{long}, "
        f"finish {finish.name} "
        f"(emissivity {finish.low:g} to {finish.high:g}){own}, coefficients of moving air good to "
        f"+-{100 * SCATTER:.0f} %; the band in brackets takes both at their best and at their worst"
    )


def _own_finishes(cooling: Cooling) -> dict[Finish, list[str]]:
    """Conductors by the finish they have of their own."""
    found: dict[Finish, list[str]] = {}
    for name, finish in cooling.others:
        found.setdefault(finish, []).append(name)
    return found


def _stance(cooling: Cooling, axial: bool) -> str:
    if axial:
        return "axis lying" if cooling.lying else "axis upright"
    return f"run {_orientation(cooling.stream.tilt)}"


def _across(axial: bool) -> str:
    return "along the axis, across the turns," if axial else "across the run"


def _orientation(tilt: float) -> str:
    words = {0: "horizontal", 90: "vertical"}
    degrees = round(math.degrees(tilt), 3)
    return words.get(int(degrees), "") if degrees in words else f"{degrees:g} deg above the horizontal"


def _correlations(found: Sequence[CoolingAnswer]) -> list[Correlation]:
    used: dict[str, Correlation] = {}
    for point in found:
        if point.state is not None:
            balance = point.state.balance
            used |= {c.name: c for c in balance.exchange.used(balance.surface)}
    return list(used.values())
