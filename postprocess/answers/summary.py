"""The first screen: what a chief engineer reads, as figures and as at most eleven lines below the title."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Literal

from crosscurrent.geometries.fixed import Fixed
from crosscurrent.geometries.plane.neighbours import Neighbours

from .chapter import CircuitBand
from .limits import Standing
from .noise import figure, with_bar
from .per_turn import per_turn
from .units import NOTABLE, between, concise, engineering, frequency_words, share_with_bar, significant, temperatures

MOST_CIRCUITS, MOST_SHARED, MOST_GAPS = 3, 1, 2  # lines of each
MOST_LINES = 11
WIDE = 116  # characters of a line
SHORTEST = 12  # characters of a name that gives way to its figures


@dataclass(frozen=True)
class SectionLoss:
    """All conductors together, at one frequency or with all harmonics of a waveform."""

    of: str  # "at 85 kHz", "with the waveform"
    loss: float  # [W/m]
    error: float  # bound [W/m]
    total: float | None = None  # over the run [W]


@dataclass(frozen=True)
class Hottest:
    """The hottest conductor under the load that makes it so."""

    conductor: str
    temperature: float  # [degC]
    error: float  # half of its band [K]
    load: str  # "steady, 50 Hz"
    stated: float | None  # what the case said [degC]


@dataclass(frozen=True)
class HoldingCurrent:
    """Where temperatures run away: the currents that hold."""

    limit: float | None  # of the conductor that reaches it first [degC]; None: for a stable temperature at all
    factor: float  # on all currents of the case
    currents: Mapping[str, float]  # of each circuit [A rms]
    duty: str | None = None  # while which the currents flow; None: all the time

    def __post_init__(self) -> None:
        object.__setattr__(self, "currents", Fixed(self.currents))

    @property
    def words(self) -> str:
        """The currents, and what they hold for.

        Examples
        --------
        >>> HoldingCurrent(90.0, 0.5, {"feed": 215.0}).words
        'feed 215 A (limit 90 degC)'
        """
        currents = ", ".join(f"{name} {engineering(value, 'A', 3)}" for name, value in list(self.currents.items())[:3])
        while_on = "" if self.duty is None else f" while on in {self.duty}"
        return f"{currents}{while_on} ({'stable at all' if self.limit is None else f'limit {self.limit:g} degC'})"


@dataclass(frozen=True)
class CircuitSummary:
    """A circuit at one frequency; R is that of the loop, or of its own conductors where circuits are coupled.

    A coupled circuit that shares all its conductors has no R here: that of its terminals also counts power that
    passes between circuits. L of coupled circuits is that of the terminals, the others as stated.
    """

    name: str
    frequency: float  # [Hz]
    size: float  # of its current [A rms]
    resistance: float | None  # [ohm/m]
    resistance_error: float | None  # relative bound
    resistance_ratio: float | None  # to that of direct current
    resistance_of: Literal["loop", "own conductors", "shared conductors"]
    inductance: float | None  # of the loop, the other circuits as stated; below zero where they drive it [H/m]
    inductance_error: float | None  # relative bound
    drop: float  # voltage along the run [V/m rms]
    temperature_low: float | None  # of its conductors [degC]
    temperature_high: float | None
    resistance_as_laid: float | None = None  # at most, where groups of strands are only twisted [ohm/m]


@dataclass(frozen=True)
class SharedConductor:
    """A conductor that several circuits use."""

    name: str
    circuits: tuple[str, ...]
    size: float  # of its current [A rms]; 0 where only induced currents flow
    loss: float  # [W/m]
    error: float = 0.0  # bound, or the field's floor [W/m]
    of: str = ""  # "with the waveform"; else at the first frequency


@dataclass(frozen=True)
class HeatedPieces:
    """What is heated on purpose round an axis, together, at one frequency."""

    names: tuple[str, ...]
    frequency: float  # [Hz]
    power: float  # [W]
    power_error: float  # bound [W]
    efficiency: float  # of all the power, the share in them
    efficiency_error: float  # bound


@dataclass(frozen=True)
class Summary:
    """The first screen.

    Attributes
    ----------
    verdict : "pass", "fail", "cannot tell" or "none stated"
        Of [limits] as a whole.
    verdict_words : str
    losses : tuple of SectionLoss
        The one that governs first.
    hottest : Hottest or None
        None where no temperature was computed, or none is stable.
    holds : tuple of HoldingCurrent
        Where none is stable: currents for the limit, for stability.
    runs_away : tuple of str
        Conductors without a stable temperature.
    temperature_low, temperature_high : float
        Of all conductors at the first frequency [degC].
    taken : tuple of str
        Conductors whose temperature nobody stated or computed: the ambient was taken.
    circuits : tuple of CircuitSummary
    shared : tuple of SharedConductor
        Of the first frequency.
    sequences : mapping of str to complex
        Impedance of the zero, positive and negative sequence of three phases at the first frequency [ohm/m].
    gaps : tuple of Neighbours
        The narrowest first.
    bands : tuple of CircuitBand
        What tolerances make of the circuits, where there are any.
    worst_warning : str or None
    warnings : int
        How many there are.
    axial : bool
        Whether the section is one round an axis: figures are in total, not per metre.
    heated : HeatedPieces or None
        Where the case says what is heated on purpose.
    heating : Hottest or None
        The hottest point of a work piece heated in time.
    """

    verdict: Standing | Literal["none stated"]
    verdict_words: str
    losses: tuple[SectionLoss, ...]
    hottest: Hottest | None
    holds: tuple[HoldingCurrent, ...]
    runs_away: tuple[str, ...]
    temperature_low: float
    temperature_high: float
    taken: tuple[str, ...]
    circuits: tuple[CircuitSummary, ...]
    shared: tuple[SharedConductor, ...] = ()
    sequences: Mapping[str, complex] = field(default_factory=dict)
    gaps: tuple[Neighbours, ...] = ()
    bands: tuple[CircuitBand, ...] = ()
    worst_warning: str | None = None
    warnings: int = 0
    axial: bool = False
    heated: HeatedPieces | None = None
    heating: Hottest | None = None

    def __post_init__(self) -> None:
        object.__setattr__(self, "sequences", Fixed(self.sequences))

    @property
    def lines(self) -> tuple[str, ...]:
        """The same in words, at most eleven lines."""
        return lines(self)


def lines(s: Summary, wide: int = WIDE) -> tuple[str, ...]:
    """At most eleven lines: verdict, loss, temperature, circuits, gaps, the worst warning; so many letters wide."""
    found = [
        f"Limits: {s.verdict_words}",
        f"Loss: {_loss(s.losses[0], total=True)}{''.join(f'; {_loss(one)}' for one in s.losses[1:])}",
        f"Temperature: {_temperature(s)}",
        *_heated(s.heated),
        *_some([_circuit(c, wide) for c in s.circuits], MOST_CIRCUITS),
        *_further(s),
    ]
    if len(found) < MOST_LINES:
        found += _some([_band(b) for b in s.bands], 1)
    return tuple(shortened(per_turn(line) if s.axial else line, wide) for line in found)


def lines_beside_answers(s: Summary, wide: int = WIDE) -> tuple[str, ...]:
    """Those of the lines that a verdict and a table of loss, resistance and inductance leave to be said."""
    further = (*_some([_band(b) for b in s.bands], 1), *_further(s))
    found = (f"Temperature: {_temperature(s)}", *further)
    return tuple(shortened(per_turn(line) if s.axial else line, wide) for line in found)


def _further(s: Summary) -> Iterator[str]:
    yield from _some([_shared(c) for c in s.shared], MOST_SHARED)
    yield from _sequences(s.sequences)
    yield from _some(list(gap_lines(s.gaps)), MOST_GAPS)
    if s.worst_warning is not None:
        yield f"Warning{f' (1 of {s.warnings})' if s.warnings > 1 else ''}: {s.worst_warning}"


def shortened(line: str, wide: int = WIDE) -> str:
    """A line cut at a word where it is too long.

    Examples
    --------
    >>> shortened("the limit fails: loss at 50 Hz", 26)
    'the limit fails: loss ...'
    """
    return line if len(line) <= wide else f"{line[: wide - 3].rsplit(' ', 1)[0].rstrip(',;:')} ..."


def _loss(one: SectionLoss, *, total: bool = False) -> str:
    known = abs(one.loss) > one.error
    run = f", {engineering(one.total, 'W')} over the run" if known and total and one.total is not None else ""
    return f"{with_bar(one.loss, one.error / one.loss if one.loss else None, 'W/m')} {one.of}{run}"


def _heated(found: HeatedPieces | None) -> Iterator[str]:
    if found is not None and found.power > found.power_error:
        power = with_bar(found.power, found.power_error / found.power, "W")
        share = share_with_bar(found.efficiency, found.efficiency_error)
        yield f"Work pieces: {power} into {_few(found.names)} at {frequency_words(found.frequency)}, efficiency {share}"


def _temperature(s: Summary) -> str:
    """What is heated in time first, then steady temperatures or those that stand for them."""
    if s.heating is None:
        return _steady(s)
    heated = f"{s.heating.temperature:.0f} degC +- {significant(max(1.0, s.heating.error), 2)} K"
    return f"{s.heating.conductor} is heated to {heated}; else {_steady(s)}"


def _steady(s: Summary) -> str:
    if s.runs_away:
        held = "; ".join(h.words for h in s.holds)
        return f"no stable temperature ({_few(s.runs_away)}){held and f': holds {held}'}"
    if s.hottest is not None:
        h = s.hottest
        moved = h.stated is not None and abs(h.stated - h.temperature) >= NOTABLE
        stated = f"; {h.stated:g} degC was stated" if moved else ""
        load = f" ({h.load})" if h.load else ""
        return f"{h.conductor} is the hottest, {h.temperature:.1f} degC +- {significant(h.error, 2)} K{load}{stated}"
    at = temperatures(s.temperature_low, s.temperature_high)
    if s.taken:
        all_of = "" if s.temperature_low == s.temperature_high else f" for {_few(s.taken)}"
        return f"not computed; the figures hold at {at}, the ambient taken where none is stated{all_of}"
    return f"not computed; the figures hold at {at} as stated"


def _circuit(c: CircuitSummary, wide: int) -> str:
    at = frequency_words(c.frequency)
    if (c.resistance is None and c.resistance_of != "shared conductors") or not c.size or c.temperature_low is None:
        return f"{c.name} at {at}: no current"
    own, terminal = ("", "") if c.resistance_of == "loop" else ("own ", "terminal ")
    ratio = "" if c.resistance_ratio is None else f" (Rac/Rdc {c.resistance_ratio:.4g})"
    figures = "shares all its conductors"
    if c.resistance is not None:
        if c.resistance_as_laid is not None:  # of more weight, and there is no room for both
            ratio = f", as laid up to {engineering(c.resistance_as_laid, 'ohm/m')}"
        figures = f"{own}R {with_bar(c.resistance, c.resistance_error, 'ohm/m')}{ratio}"
    if c.inductance is not None:
        figures += f", {terminal}L {with_bar(c.inductance, c.inductance_error, 'H/m')}"
    rest = f", {concise(c.size, 'A')}, {at}, {temperatures(c.temperature_low, c.temperature_high)}: {figures}"
    return _fitting(c.name, wide - len(rest)) + rest


def _fitting(name: str, room: int) -> str:
    """A name cut to some characters, so that the figures behind it stay whole."""
    room = max(room, SHORTEST)
    return name if len(name) <= room else f"{name[: room - 3]}..."


def _band(b: CircuitBand) -> str:
    """What tolerances make of a circuit at worst."""
    parts = []
    found = (
        ("R", b.resistance_low, b.resistance_high, b.resistance_most, "ohm/m"),
        ("terminal L" if b.terminal else "L", b.inductance_low, b.inductance_high, b.inductance_most, "H/m"),
    )
    for what, low, high, most, unit in found:
        if low is not None and high is not None:
            parts.append(f"{what} {between(low, high, unit)}{f' ({most})' if most else ''}")
    return f"Tolerances, {b.name}, {frequency_words(b.frequency)}: {', '.join(parts)} at worst"


def _shared(c: SharedConductor) -> str:
    carried = engineering(c.size, "A") if c.size else "no net current"
    when = f" {c.of}" if c.of else ""
    return f"{c.name}, shared by {', '.join(c.circuits)}: {carried}, loss {figure(c.loss, c.error, 'W/m')}{when}"


def _sequences(found: Mapping[str, complex]) -> Iterator[str]:
    alike: dict[str, list[str]] = {}
    for name, z in found.items():
        alike.setdefault(_impedance(z), []).append(name)
    if alike:
        parts = (f"{text} ({' and '.join(names)})" for text, names in alike.items())
        yield f"Sequence impedance: {', '.join(parts)}"


def _impedance(z: complex) -> str:
    """R + jX with one prefix, that of the larger."""
    like = max(abs(z.real), abs(z.imag))
    real, imaginary = (engineering(part, "ohm/m", like=like) for part in (z.real, abs(z.imag)))
    return f"{real.split()[0]} {'-' if z.imag < 0 else '+'} j{imaginary}"


def gap_lines(found: Sequence[Neighbours]) -> Iterator[str]:
    """Gap and face of every pair, alike ones together."""
    alike: dict[str, list[Neighbours]] = {}
    for one in found:
        alike.setdefault(_gap(one), []).append(one)
    for text, pairs in alike.items():
        more = f" (and {len(pairs) - 1} alike)" if len(pairs) > 1 else ""
        yield f"{pairs[0].one} to {pairs[0].other}{more}: {text}"


def _gap(one: Neighbours) -> str:
    gap = concise(one.gap, "m", 4)
    if one.around:
        return f"{gap} all round"
    return f"{gap} face to face over {concise(one.face, 'm', 4)}" if one.face else f"{gap} at the nearest"


def _some(found: Sequence[str], most: int) -> Iterator[str]:
    """The first lines; how many are left, in the last of them."""
    left = len(found) - most
    for number, line in enumerate(found[:most], 1):
        yield f"{line}; {left} more" if left > 0 and number == most else line


def _few(names: Sequence[str]) -> str:
    return ", ".join(names) if len(names) < 4 else f"{', '.join(names[:2])} and {len(names) - 2} more"
