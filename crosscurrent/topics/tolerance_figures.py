"""The figures that get a band from tolerances, by keys that a changed case has too.

Where currents return outside, they do on a circle that grows with the section: what depends on it gets no band.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from crosscurrent.casefile.tables.limits import LimitsTable
from crosscurrent.postprocess.answers.chapter import Chapter, Measured
from crosscurrent.postprocess.answers.limits import Verdict
from crosscurrent.postprocess.topics.limits import RETURN_DEPENDENT
from crosscurrent.solved import SolvedCase

from .limits_figures import in_service, losses, measured_by
from .limits_verdicts import OF_METAL, verdicts


@dataclass(frozen=True)
class FigureKey:
    """Which figure: a limit on it has the same key.

    Attributes
    ----------
    what : str
        "resistance", "inductance", "loss", "temperature" (of the hottest), or the key of a limit.
    of : str
        Circuit, conductor or place; empty for the whole section.
    number : int or None
        Of its frequency among those asked for one by one; None where it belongs to none.
    """

    what: str
    of: str = ""
    number: int | None = None


def figures(solved: SolvedCase, others: Sequence[Chapter]) -> dict[FigureKey, Measured]:
    """R and L of each circuit, loss and hottest temperature, at every frequency asked for one by one."""
    found: dict[FigureKey, Measured] = {}
    measured = measured_by(others)
    lost = {m.frequency: m for m in losses(solved, measured)}
    warm = [m for m in in_service(solved, measured) if m.known]
    for number, frequency in enumerate(solved.case.data.frequency.at):
        point = solved.at(frequency)
        for c in point.circuits.values():
            words = f"the terminals of {c.name}" if point.coupled else ""
            for what, value, error, unit in (("resistance", c.resistance, c.resistance_error, "ohm/m"),
                                             ("inductance", c.inductance, c.inductance_error, "H/m")):  # fmt: skip
                if value is not None and not (point.returns_outside and what in RETURN_DEPENDENT):
                    bar = abs(value) * (error or 0.0)
                    found[FigureKey(what, c.name, number)] = Measured(value, bar, unit, c.name, "", frequency, words)
        found[FigureKey("loss", "", number)] = lost[frequency]
        here = [m for m in warm if m.frequency == frequency]
        if here:
            found[FigureKey("temperature", "", number)] = max(here, key=lambda m: m.value)
    return found


def judged(asked: LimitsTable | None, solved: SolvedCase, others: Sequence[Chapter]) -> dict[FigureKey, Verdict]:
    """Every limit whose figure belongs to a frequency asked for one by one, or to none."""
    found: dict[FigureKey, Verdict] = {}
    listed = solved.case.data.frequency.at
    for v in verdicts(asked, solved, others) if asked is not None else ():
        frequency = None if v.limit in OF_METAL else v.found.frequency
        outside = v.limit in RETURN_DEPENDENT and any(p.returns_outside for p in solved.points)
        if (frequency is None or frequency in listed) and not outside:
            key = FigureKey(v.limit, v.found.of, None if frequency is None else listed.index(frequency))
            if key not in found or v.found.value > found[key].found.value:
                found[key] = v
    return found
