"""The words, tables and record of tolerances: the band of every figure, what makes it, how many keep a limit."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from crosscurrent.postprocess.answers.chapter import CircuitBand, Json
from crosscurrent.postprocess.answers.noise import or_none
from crosscurrent.postprocess.answers.tables import TextTable
from crosscurrent.postprocess.answers.units import band_digits, between, engineering, frequency_words

NAMES = {"resistance": "R", "inductance": "L", "loss": "loss", "temperature": "hottest"}
KEYS = {
    "resistance": "resistance_ohm_per_m",
    "inductance": "inductance_h_per_m",
    "loss": "total_loss_w_per_m",
    "temperature": "hottest_degc",
}
NOTABLE_MISS = 0.1  # of half a band's width
SAID = 2  # causes that a sentence names
SHOWN = 6  # figures of which a table shows what makes their bands
Ends = tuple[float, float]
Standing = Literal["all", "some", "none", "cannot tell"]


@dataclass(frozen=True)
class Cause:
    """A figure of the case that has a tolerance.

    Attributes
    ----------
    key : str
    words : str
        As the case says it: "1 mm +- 0.2 mm".
    value, tolerance : float
        [SI]
    unit : str
    """

    key: str
    words: str
    value: float
    tolerance: float
    unit: str


@dataclass(frozen=True)
class Band:
    """What tolerances make of a figure.

    Attributes
    ----------
    what, of : str
        "resistance", "inductance", "loss", "temperature" or the key of a limit; the circuit, conductor or place.
    frequency : float or None
        [Hz]
    unit : str
    value, bar : float
        With every cause at its nominal value; the error bar of computing it, and what the causes add to it.
    worst : (float, float)
        With the causes wherever they may be within their tolerances, the bar left out.
    likely : (float, float)
        Ends between which 95 % lie, the bar left out.
    shares : tuple of float
        Of each cause in the variance.
    ends : tuple of (float, float)
        With each cause alone at its lower and at its upper end.
    words : str
        What tables call what it belongs to, where that is more than the name.
    """

    what: str
    of: str
    frequency: float | None
    unit: str
    value: float
    bar: float
    worst: Ends
    likely: Ends
    shares: tuple[float, ...]
    ends: tuple[Ends, ...]
    words: str = ""

    @property
    def worst_case(self) -> Ends:
        """With the bar at both ends.

        Examples
        --------
        >>> Band("loss", "", 50.0, "W/m", 90.0, 1.0, (80.0, 99.0), (82.0, 97.0), (1.0,), ((80.0, 99.0),)).worst_case
        (79.0, 100.0)
        """
        return self._with_bar(self.worst)

    @property
    def within_95(self) -> Ends:
        """Ends between which 95 % lie, with the bar at both."""
        return self._with_bar(self.likely)

    def _with_bar(self, ends: Ends) -> Ends:
        bar = self.bar if math.isfinite(self.bar) else 0.0
        return ends[0] - bar, ends[1] + bar

    @property
    def terminal(self) -> bool:
        """Whether it is R or L at the terminals of a coupled circuit."""
        return self.what in ("resistance", "inductance") and bool(self.words)

    @property
    def label(self) -> str:
        """What tables call it: "R of feed", "loss", "force of bar.1"."""
        name = NAMES.get(self.what, self.what.replace("_", " "))
        return f"{name} of {self.words or self.of}" if self.of else name


@dataclass(frozen=True)
class KeptLimit:
    """Whether a limit is kept within tolerances.

    Attributes
    ----------
    band : Band
    allowed : float
    standing : str
        "all" and "none": wherever the causes lie within bounds; "cannot tell": the computing bar covers it.
    surely, perhaps : int
        Per cent of the draws that keep it with the whole of the computing bar against them, and for them.
    """

    band: Band
    allowed: float
    standing: Standing
    surely: int
    perhaps: int

    @property
    def words(self) -> str:
        """In how many it passes.

        Examples
        --------
        >>> band = Band("loss", "", 50.0, "W/m", 90.0, 0.1, (80.0, 99.0), (82.0, 97.0), (1.0,), ((80.0, 99.0),))
        >>> [KeptLimit(band, 95.0, "some", *share).words for share in ((96, 96), (93, 96), (100, 100))]
        ['in 96 %', 'in 93 to 96 %', 'in more than 99 %']
        """
        if self.standing == "cannot tell":
            return "cannot tell"
        if self.standing != "some":
            return f"in {self.standing}"
        if self.surely != self.perhaps:
            return f"in {self.surely} to {self.perhaps} %"
        return {0: "in less than 1 %", 100: "in more than 99 %"}.get(self.surely, f"in {self.surely} %")


@dataclass(frozen=True)
class ToleranceAnswer:
    """Bands of all figures.

    Attributes
    ----------
    read_as : str
        "bound" or "two standard deviations".
    causes : sequence of Cause
    bands : sequence of Band
        Those of the circuits, losses and temperatures, frequency by frequency.
    kept : sequence of KeptLimit
    order : str
        Of the polynomial that bands come from: "first", "second by slopes", "second", "second with products".
    by_slopes : bool
        Whether first order came from slopes for every cause.
    solves : int
        Changed cases that were solved.
    checked : str
        The figure whose worst corners were solved.
    missed : float or None
        By how much the bands missed what was solved there, of half their width; None where nothing was solved.
    no_band : str
        Why there are no bands.
    without : sequence of str
        Figures without a band.
    refused : sequence of str
        Why some cases within the tolerances cannot be.
    returns_outside : bool
        Whether currents return outside the section.
    """

    read_as: str
    causes: Sequence[Cause]
    bands: Sequence[Band] = ()
    kept: Sequence[KeptLimit] = ()
    order: str = "first"
    by_slopes: bool = True
    solves: int = 0
    checked: str = ""
    missed: float | None = None
    no_band: str = ""
    without: Sequence[str] = ()
    refused: Sequence[str] = ()
    returns_outside: bool = False


def circuit_bands(found: ToleranceAnswer) -> Iterator[CircuitBand]:
    """Of every circuit at every frequency, for the first screen; of coupled ones L alone."""
    own = {(b.of, b.frequency, b.what): b for b in found.bands if b.what in ("resistance", "inductance")}
    for name, frequency in dict.fromkeys((of, f) for of, f, _ in own):
        by_what: dict[str, float | str | bool] = {}
        for what in ("resistance", "inductance"):
            b = own.get((name, frequency, what))
            if b is not None and not (what == "resistance" and b.terminal):
                by_what |= {f"{what}_low": b.worst_case[0], f"{what}_high": b.worst_case[1],
                            f"{what}_most": most_from(b, found.causes, 1), "terminal": b.terminal}  # fmt: skip
        if by_what:
            yield CircuitBand(name, frequency or 0.0, **by_what)  # type: ignore[arg-type]


def record(found: ToleranceAnswer) -> dict[str, Json]:
    """The numbers of the chapter."""
    keys = [cause.key for cause in found.causes]
    frequencies = dict.fromkeys(b.frequency for b in found.bands)
    return {
        "read_as": found.read_as,
        "causes": [
            {"key": c.key, "value_si": c.value, "tolerance_si": c.tolerance, "unit": c.unit} for c in found.causes
        ],
        "order": found.order,
        "solves": found.solves,
        "checked_at_worst_corners_of": found.checked or None,
        "missed_there_of_half_width": found.missed,
        "points": [_point([b for b in found.bands if b.frequency == f], keys) for f in frequencies],
        "limits": [_kept(one, keys) for one in found.kept],
        "no_band": found.no_band or None,
        "without_band": list(found.without),
        "cannot_be": list(found.refused),
    }


def _point(here: Sequence[Band], keys: Sequence[str]) -> dict[str, Json]:
    circuits: dict[str, dict[str, Json]] = {}
    for b in here:
        if b.what in ("resistance", "inductance"):
            circuits.setdefault(b.of, {})[KEYS[b.what]] = _band(b, keys)
    whole = {KEYS[b.what]: _band(b, keys) for b in here if b.what in ("loss", "temperature")}
    return {"frequency_hz": here[0].frequency, **whole, "circuits": circuits}


def _band(b: Band, keys: Sequence[str]) -> dict[str, Json]:
    return {
        "nominal": b.value,
        "computing_bar": b.bar if math.isfinite(b.bar) else None,
        "worst_case": list(b.worst_case),
        "within_95_percent": list(b.within_95),
        "worst_case_by_tolerances_alone": list(b.worst),
        "within_95_percent_by_tolerances_alone": list(b.likely),
        "shares": dict(zip(keys, b.shares, strict=True)),
        "at_ends": {key: list(ends) for key, ends in zip(keys, b.ends, strict=True)},
    }


def _kept(one: KeptLimit, keys: Sequence[str]) -> dict[str, Json]:
    return {
        "limit": one.band.what,
        "of": one.band.of or None,
        "frequency_hz": one.band.frequency,
        "unit": one.band.unit,
        **_band(one.band, keys),
        "allowed": one.allowed,
        "passes": one.words,
        "passes_at_least_percent": one.surely,
        "passes_at_most_percent": one.perhaps,
    }


def tables(found: ToleranceAnswer) -> Iterator[TextTable]:
    """The bands of every frequency, what makes them, and the limits."""
    for frequency in dict.fromkeys(b.frequency for b in found.bands):
        here = [b for b in found.bands if b.frequency == frequency]
        at = frequency_words(frequency or 0.0)
        heads: tuple[str, ...] = ("figure", "nominal", "worst case", "95 %", "computing +-", "most from")
        yield TextTable(f"Bands within tolerances, {at}", heads, tuple(_row(b, found.causes) for b in here))
        shown = [b for b in here if any(b.shares)][:SHOWN]
        if shown:
            rows = tuple((c.key, c.words, *(_share(b.shares[k]) for b in shown)) for k, c in enumerate(found.causes))
            heads = ("cause", "is", *(b.label for b in shown))
            yield TextTable(f"What makes them, shares of the variance, {at}", heads, rows)
    if found.kept:
        rows = tuple(_limit_row(one) for one in found.kept)
        heads = ("limit on", "at", "worst case", "95 %", "limit", "passes")
        yield TextTable("Limits within tolerances", heads, rows)


def _row(b: Band, causes: Sequence[Cause]) -> tuple[str, ...]:
    nominal = in_words(b.value, b.unit, band_digits(*b.worst_case))
    if b.unit not in ("degC", "K"):
        nominal = or_none(nominal, b.value, b.bar)
    bar = in_words(b.bar, "K" if b.unit == "degC" else b.unit, 2)
    return (b.label, nominal, *_ends(b), bar, most_from(b, causes, 1) or "-")


def _ends(b: Band) -> tuple[str, str]:
    return between(*b.worst_case, b.unit), between(*b.within_95, b.unit)


def _limit_row(one: KeptLimit) -> tuple[str, ...]:
    b = one.band
    at = "-" if b.frequency is None else frequency_words(b.frequency)
    return (b.label, at, *_ends(b), in_words(one.allowed, b.unit), one.words)


def _share(share: float) -> str:
    return f"{100 * share:.0f} %"


def most_from(b: Band, causes: Sequence[Cause], most: int) -> str:
    """The causes with the largest shares in a band: "gap 92 %, width 5 %"."""
    order = sorted(range(len(causes)), key=lambda k: -b.shares[k])[:most]
    return ", ".join(f"{causes[k].key} {_share(b.shares[k])}" for k in order if b.shares[k] >= 0.005)


def in_words(value: float, unit: str, digits: int = 4) -> str:
    """A figure with its unit."""
    return f"{value:.1f} {unit}" if unit in ("degC", "K") else engineering(value, unit, digits)


def sentences(found: ToleranceAnswer) -> Iterator[str]:
    """The bands of R and L, then how they were found."""
    if not found.causes:
        yield 'no figure of the case has a tolerance: write "+-" behind it, as in "6 mm +- 0.1 mm"'
        return
    for b in found.bands:
        if b.what in ("resistance", "inductance", "temperature"):
            most = most_from(b, found.causes, SAID)
            at = frequency_words(b.frequency or 0.0)
            yield (f"{b.label} at {at} is {between(*b.worst_case, b.unit)} within tolerances "
                   f"(95 %: {between(*b.within_95, b.unit)}){f', most from {most}' if most else ''}")  # fmt: skip
    for one in found.kept:
        if one.standing != "none" and one.surely == 100:
            yield f"within tolerances {_limit(one)} passes {one.words} of the sections"
    if found.bands or found.kept:
        yield _read(found.read_as)
        yield "the error bar of computing is added at both ends of every band"
        yield _order(found)
    if found.returns_outside:
        yield "inductances have no band: the currents do not sum to zero, so they depend on where these return"


def _read(read_as: str) -> str:
    if read_as == "bound":
        return ("tolerances are read as bounds: worst case, all causes wherever they make most of it; 95 %, the "
                "causes independent and each evenly spread within its bounds")  # fmt: skip
    return ("tolerances are read as two standard deviations: worst case, each cause at most so far off, which one "
            "in twenty is not; 95 %, the causes independent and normal")  # fmt: skip


def _order(found: ToleranceAnswer) -> str:
    how = {
        "first": "first order, from the slopes of the solved field",
        "second by slopes": "second order along each cause, from the slopes of the solved field at the worst corners",
        "second": "second order along each cause, through both of its ends",
        "second with products": "second order with products of causes",
    }[found.order]
    if found.order in ("first", "second by slopes") and not found.by_slopes:
        how += ", and through both ends of causes without a slope"
    solves = f"{found.solves} changed case{'' if found.solves == 1 else 's'} solved"
    if not found.checked:
        return f"bands are of {how}; {solves}"
    if found.missed is None:
        why = f"the worst corners of {found.checked} make no sound case"
        return f"bands are of {how}, not checked, since {why}; {solves}"
    return (f"bands are of {how}; at the worst corners of {found.checked} they missed by "
            f"{math.ceil(100 * found.missed)} % of half their width; {solves}")  # fmt: skip


def warnings(found: ToleranceAnswer) -> Iterator[str]:
    """Limits that are not kept in all, bands that are rough or missing."""
    if found.no_band:
        yield f"tolerances: no bands, since {found.no_band}"
    for why in found.refused:
        yield f"within tolerances there are sections that cannot be: {why}"
    for one in found.kept:
        if one.standing == "none" or (one.standing == "some" and one.surely < 100):
            yield f"within tolerances {_limit(one)} passes {one.words} of the sections"
        elif one.standing == "cannot tell":
            yield f"within tolerances nobody can tell of {_limit(one)}: the error bar of computing it covers the limit"
    if found.missed is not None and found.missed > NOTABLE_MISS:
        yield (f"the bands within tolerances are rough: at the worst corners of {found.checked} they missed by "
               f"{math.ceil(100 * found.missed)} % of half their width")  # fmt: skip
    for name in found.without:
        yield f"{name} has no band: it has no end, or is not there, at some end of a tolerance"


def _limit(one: KeptLimit) -> str:
    at = "" if one.band.frequency is None else f" at {frequency_words(one.band.frequency)}"
    return f"the limit on {one.band.label}{at}"
