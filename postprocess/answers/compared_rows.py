"""What the designs of a comparison are, and their figures row by row."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from .answers import Answers, CircuitAnswer
from .bundle_sums import loss_by_lay, share_by_lay, whole_conductors
from .chapter import Chapter
from .limits import Standing
from .noise import force_noise
from .per_turn import per_turn
from .units import engineering, frequency_words

OTHERWISE = ("efficiency", "coupling")  # the more the better: waste and leakage say the same the other way round
WANTED = ("piece_power",)  # figures that speak neither for a design nor against it
STILL = ("mass", "cost")  # figures that do not depend on frequency


@dataclass(frozen=True)
class ComparedFigure:
    """A value with the bound on its error and with what groups of strands that are only twisted add, in SI units."""

    value: float
    error: float = 0.0
    above: float = 0.0


@dataclass(frozen=True)
class ComparedRow:
    """One quantity of all designs; None where a design has no such figure. The lowest is the best."""

    name: str
    unit: str
    figures: tuple[ComparedFigure | None, ...]
    comparable: bool = True  # whether the figures answer the same question
    merit: str = ""  # what a design with the lowest is said to be best in, if that speaks for it
    at: str = ""  # the frequency in words, where it belongs to one
    out: frozenset[int] = frozenset()  # designs that cannot be: they fail their limits or run away

    @property
    def best(self) -> tuple[int, ...]:
        """The lowest, and those whose error bars reach down to it, as bundles are laid; no design that is out."""
        known = {k: f for k, f in enumerate(self.figures) if f is not None and k not in self.out}
        if len(known) < 2 or not self.comparable:
            return ()
        lowest = min(known.values(), key=lambda f: f.value)
        reach = lowest.value + lowest.error + lowest.above
        found = tuple(k for k, f in known.items() if f.value - f.error <= reach)
        return found if len(found) < len(known) else ()


@dataclass(frozen=True)
class DesignVerdict:
    """Whether a design holds its limits and has stable temperatures; the reasons in words."""

    standing: Standing | Literal["none stated"] = "none stated"
    why: str = ""


@dataclass(frozen=True)
class ComparedDesign:
    """A solved case as the comparison sees it."""

    name: str
    title: str
    points: tuple[Answers, ...]
    chapters: tuple[Chapter, ...]
    settings: Mapping[str, str]  # every key of its case file and what it says
    verdict: DesignVerdict = DesignVerdict()
    length: float | None = None  # of its run [m]


def rows_of(designs: Sequence[ComparedDesign]) -> tuple[ComparedRow, ...]:
    """Every figure of all designs: those of the frequencies they share, and those that chapters measured."""
    out = frozenset(k for k, d in enumerate(designs) if d.verdict.standing == "fail")
    found = [row for frequency in shared_frequencies(designs) for row in _electric(designs, frequency)]
    rows = (replace(row, out=out) for row in (*found, *_measured(designs)))
    return tuple(replace(row, unit=per_turn(row.unit)) if is_axial(designs) else row for row in rows)


def is_axial(designs: Sequence[ComparedDesign]) -> bool:
    """Whether designs are sections round an axis, whose figures are in all and not per metre."""
    return any(p.axial for d in designs for p in d.points)


def shared_frequencies(designs: Sequence[ComparedDesign]) -> list[float]:
    """Those that all designs have [Hz]."""
    return [p.frequency for p in designs[0].points if all(at(d, p.frequency) is not None for d in designs)]


def at(design: ComparedDesign, frequency: float) -> Answers | None:
    """The answers of a design at a frequency [Hz]; None where it has none."""
    return next((p for p in design.points if p.frequency == frequency), None)


def _electric(designs: Sequence[ComparedDesign], frequency: float) -> list[ComparedRow]:
    points = [p for d in designs if (p := at(d, frequency)) is not None]
    words = frequency_words(frequency)
    losses = tuple(
        ComparedFigure(p.total_loss, sum(c.loss_error * c.loss for c in p.conductors.values()), loss_by_lay(p))
        for p in points
    )
    rows = [ComparedRow(f"loss of everything at {words}", "W/m", losses, merit="loss", at=words)]
    outside = any(p.returns_outside for p in points)
    returns = (
        f" (returns at {', '.join(engineering(p.return_radius, 'm', 3).strip() for p in points)})" if outside else ""
    )
    for name in dict.fromkeys(c for p in points for c in p.circuits):
        found = [p.circuits.get(name) for p in points]
        own = any(p.coupled for p in points)  # the terminals also count power that passes between circuits
        resistances = [None if c is None else (c.own_resistance, c.own_resistance_error, c.own_ratio) if own
                       else (c.resistance, c.resistance_error, c.resistance_ratio) for c in found]  # fmt: skip
        laid = [0.0 if c is None else c.lay_resistance or 0.0 for c in found]
        whose = f"{name}'s own conductors" if own else name
        rows += [
            ComparedRow(f"R of {whose} at {words}", "ohm/m", tuple(
                None if r is None or r[0] is None else ComparedFigure(
                    r[0], abs(r[0]) * (r[1] or 0.0), by_lay) for r, by_lay in zip(resistances, laid, strict=True)
                ), merit=f"R of {name}", at=words),
            *([] if own else _as_laid(name, words, found)),
            ComparedRow(f"L of {name} at {words}{returns}", "H/m", tuple(
                None if c is None or c.inductance is None else ComparedFigure(
                    c.inductance, abs(c.inductance) * (c.inductance_error or 0.0)) for c in found), not outside,
                merit=f"L of {name}", at=words),
            ComparedRow(f"Rac/Rdc of {whose} at {words}", "", tuple(
                None if r is None or r[2] is None else ComparedFigure(
                    r[2], abs(r[2]) * (r[1] or 0.0), abs(r[2] / r[0]) * by_lay if r[0] else 0.0)
                for r, by_lay in zip(resistances, laid, strict=True))),
        ]  # fmt: skip
    axial = is_axial(designs)
    forces = tuple(_largest_force(p, axial) for p in points)
    which = "axial force on a turn or piece" if axial else "force"
    return [*rows, ComparedRow(f"largest {which} at {words} (time average)", "N/m", forces, merit="force", at=words)]


def _largest_force(point: Answers, axial: bool) -> ComparedFigure:
    """On any conductor; of it the lay of bundles is taken to leave as large a share open as of their loss."""
    every = whole_conductors(point)
    force = max((abs(c.force[1] if axial else complex(*c.force)) for c in every), default=0.0)
    open_ = force * (share_by_lay(point) - 1)
    return ComparedFigure(force, max((force_noise(c) for c in every), default=0.0) + open_)


def _as_laid(name: str, at: str, circuits: Sequence[CircuitAnswer | None]) -> list[ComparedRow]:
    """R at most where groups of strands are twisted, not transposed; of designs without such groups R itself."""
    if all(c is None or c.laid_resistance is None for c in circuits):
        return []
    figures = tuple(
        None
        if c is None or c.resistance is None
        else ComparedFigure(c.laid_resistance or c.resistance, abs(c.resistance) * (c.resistance_error or 0.0))
        for c in circuits
    )
    return [ComparedRow(f"R of {name} at {at}, as laid up to", "ohm/m", figures, at=at)]


def _measured(designs: Sequence[ComparedDesign]) -> list[ComparedRow]:
    """The largest of each figure that a chapter offers for limits, at all frequencies of each design."""
    alike = len({tuple(p.frequency for p in d.points) for d in designs}) == 1
    found = [{(key, m.unit): values for c in d.chapters for key, values in c.measured.items() for m in values}
             for d in designs]  # fmt: skip
    rows = []
    for key, unit in dict.fromkeys(name for of in found for name in of if name[0] not in OTHERWISE):
        worst = [max(of[key, unit], key=lambda m: m.value) if (key, unit) in of else None for of in found]
        part = 1.0 if unit else 100.0  # shares are told in per cent
        figures = tuple(
            ComparedFigure(part * m.value, part * m.error, part * m.above) if m is not None and m.known else None
            for m in worst
        )
        name, still = key.replace("_", " "), key in STILL
        whole = key != "cost" or None not in figures  # the price of one says nothing about the other's
        whose = "" if still or alike else " (each at its own frequencies)"
        comparable = whole and (alike or still) and key not in WANTED
        rows.append(ComparedRow(f"{name}{whose}", unit or "%", figures, comparable, merit=name))
    return rows
