"""The cautions that belong on the answers, in plain words."""

from __future__ import annotations

from collections.abc import Sequence

from .answers import Answers

ALWAYS = (
    "Currents and voltages are rms. A peak value read as rms doubles the computed heat.",
    "Conductors that carry power get hot, and their resistance rises with temperature; the figures hold at the "
    "stated temperatures. Check the temperature before anything is touched or enclosed.",
    "Joints, bends and ends are not in these figures: a bad joint is the first thing to fail.",
    "Follow the electrical code that applies where the equipment stands, and leave design approval, isolation and "
    "work on live parts to licensed people.",
)
HIGH_FREQUENCY = (
    "At this frequency contact with a live part burns deeply without a warning shock, and currents are induced in "
    "rings, tools and implants nearby: keep people and loose metal away, and check exposure limits."
)
RESONANCE = (
    "With a capacitor the voltage across this inductance can be many times the supply's: choose insulation for the "
    "resonance voltage."
)
PARALLEL = (
    "Parallel conductors share as computed only if both ends are joined alike; unequal tails and joints change it."
)
FORCE = (
    "Forces are time averages in service; the peak is at least twice that, and a fault current multiplies it by the "
    "square of its ratio. Supports must stand the fault."
)
STEEL = (
    "Steel near the conductors heats up, and its permeability is uncertain and falls when it saturates: treat its "
    "loss as an estimate."
)
PLATING = "Plated metal conducts worse than the bulk metal; the figures take the conductivity of the bulk."


def cautions(found: Sequence[Answers], *, parallel: bool, magnetic: bool, plated: bool) -> tuple[str, ...]:
    """The cautions for a set of answers.

    Parameters
    ----------
    found : sequence of Answers
    parallel, magnetic, plated : bool
        Whether conductors are joined in parallel, some metal is magnetic, some conductor is plated.

    Examples
    --------
    >>> len(cautions([], parallel=False, magnetic=False, plated=False))
    4
    """
    highest = max((a.frequency for a in found), default=0.0)
    push = max((abs(f) for a in found for c in a.conductors.values() for f in c.force), default=0.0)
    several = (
        (HIGH_FREQUENCY, highest >= 3e3),
        (RESONANCE, highest >= 1e3),
        (PARALLEL, parallel),
        (FORCE, push > 1.0),
        (STEEL, magnetic),
        (PLATING, plated),
    )
    return (*ALWAYS, *(text for text, applies in several if applies))
