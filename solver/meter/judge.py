"""As few causes as explain a difference: which sets hold, how likely each is, and when nothing can be told."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np

from crosscurrent.geometries.arrays import ComplexArray, FloatArray

from .causes import NEIGHBOUR, STEEL, PhysicalCause
from .fit import Differing, Fit, applied, fitted, on_another
from .section_causes import SectionCause
from .uncertainty import stacked

Solved = Callable[[Mapping[str, float]], ComplexArray | None]  # amounts of the section -> impedance of the whole run

PRICE = 3.0  # of each further cause, in the logarithm of how likely it is: one in twenty
UNLIKELY = 2e-3  # chance below which a misfit is too large for the uncertainties
RARELY = 1e-4  # the same where a further cause that makes it hold does not earn its price
STREAKY = 4.0  # standard deviations of a lag-one correlation that noise does not make
SURE = 0.95  # share of the likeliest from which it is named
LEFT = 0.02  # of the likeliest: rivals below are not left
NEARBY = (NEIGHBOUR, STEEL)
SETS = 3  # causes at most
WIDEN = 8  # pairs that a third cause is added to
MOST = 6  # explanations that are kept
PROVED = 6  # that are solved for again at their fitted amounts
NEAR = 30.0  # in the logarithm of how likely they are, from the likeliest: explanations that are solved for again
TURNS = 3  # times that one is
MATTERS = 0.5  # standard uncertainties in all: what is less may stay unknown
BENT = 0.01  # of a figure of the section: amounts below need no further solve


@dataclass(frozen=True, eq=False)
class Rated:
    """A fit with how well it holds."""

    fit: Fit
    chance: float
    streak: float

    @property
    def holds(self) -> bool:
        """Whether what it leaves can be noise."""
        return self.chance > UNLIKELY and self.streak < STREAKY

    @property
    def hardly(self) -> bool:
        """Whether it can be noise of a rare kind."""
        return self.chance > RARELY and self.streak < STREAKY

    @property
    def worth(self) -> float:
        """Logarithm of how likely it is, its number of causes priced."""
        return self.fit.evidence - sum(PRICE + cause.rare for cause in self.fit.causes)

    @classmethod
    def of(cls, fit: Fit, given: Differing) -> Rated:
        """By chi-square, or F where the noise is told from the rows, and by the correlation of neighbouring rows."""
        apart = fit.uncertainty.scatter(_difference(fit, given))
        chance = _chance(fit.misfit, fit.freedom, given.uncertainty.freedom)
        return cls(fit, chance, max(_streak(part) for part in np.split(apart, 2)))


def _chance(misfit: float, freedom: int, known: float) -> float:
    """Of a larger misfit by noise that is known with so many degrees of freedom."""
    from scipy.special import betainc, gammaincc  # scipy.stats takes half a second to come in

    if math.isinf(known):
        return float(gammaincc(freedom / 2, misfit / 2))
    return float(betainc(known / 2, freedom / 2, known / (known + misfit)))


@dataclass(frozen=True, eq=False)
class Ranked:
    """All sets that were tried.

    Attributes
    ----------
    left : tuple of (Rated, float)
        Those that hold, with their shares; likeliest first; empty where none holds.
    others : tuple of Rated
        The rest, likeliest first.
    tried : int
    """

    left: tuple[tuple[Rated, float], ...]
    others: tuple[Rated, ...]
    tried: int

    @property
    def bare(self) -> Rated:
        """Without any cause."""
        return next(one for one in (*(kept for kept, _ in self.left), *self.others) if not one.fit.causes)


def ranked(given: Differing, causes: Sequence[PhysicalCause], solved: Solved) -> Ranked:
    """Try every cause, all pairs, and threes where no pair holds; the likeliest are solved for again.

    Parameters
    ----------
    given : Differing
    causes : sequence of PhysicalCause
    solved : callable
        The impedance at all frequencies with other figures of the section, by key; None where it cannot be made.
    """
    sets = [some for count in range(SETS) for some in combinations(causes, count) if apart(some)]
    found = [Rated.of(fitted(given, some), given) for some in sets]
    found = _proved(given, found, solved)
    if not any(one.holds for one in found):
        found += _wider(given, causes, found)
        found = _proved(given, found, solved)
    found.sort(key=lambda one: -one.worth)
    kept = _minimal([one for one in found if one.holds or _excused(one, found)])
    left: list[tuple[Rated, float]] = []
    if kept:
        share = np.exp(np.array([one.worth for one in kept]) - kept[0].worth)
        share /= share.sum()
        left = [(one, float(s)) for one, s in zip(kept, share, strict=True) if s > LEFT * share[0]][:MOST]
    held = {id(one) for one, _ in left}
    return Ranked(tuple(left), tuple(one for one in found if id(one) not in held), len(found))


def _excused(one: Rated, found: Sequence[Rated]) -> bool:
    """Whether a misfit that is hardly noise is no larger than with a further cause that does not earn its price.

    Then that cause is not what is missing, and the noise is larger than stated.
    """
    with_more = [other for other in found if other.holds and one.fit.keys < other.fit.keys]
    return one.hardly and bool(with_more) and all(other.worth < one.worth for other in with_more)


def apart(some: Sequence[PhysicalCause]) -> bool:
    """Whether no two of them are one thing: what lies nearby is of one metal."""
    return sum(cause.key in NEARBY for cause in some) < len(NEARBY)


def _minimal(found: Sequence[Rated]) -> list[Rated]:
    """Without those that hold a likelier one and something more."""
    kept: list[Rated] = []
    for one in found:
        if not any(other.fit.keys <= one.fit.keys for other in kept):
            kept.append(one)
    return kept


def _wider(given: Differing, causes: Sequence[PhysicalCause], found: Sequence[Rated]) -> list[Rated]:
    """The best pairs, each with every third cause."""
    pairs = sorted((one for one in found if len(one.fit.causes) == SETS - 1), key=lambda one: -one.worth)[:WIDEN]
    threes = {pair.fit.keys | {cause.key} for pair in pairs for cause in causes} - {pair.fit.keys for pair in pairs}
    by_key = {cause.key: cause for cause in causes}
    sets = [[by_key[key] for key in sorted(keys)] for keys in sorted(threes, key=sorted)]
    return [Rated.of(fitted(given, some), given) for some in sets if apart(some)]


def _proved(given: Differing, found: Sequence[Rated], solved: Solved) -> list[Rated]:
    """The likeliest, or what may be, with their section solved for again at the fitted amounts, and fitted around it.

    What two figures of the section do together is not the product of what each does: how likely a set would be if that
    were known is told by fits that leave it open.
    """
    may = {id(one): _at_best(given, one) for one in found}
    order = sorted(found, key=lambda one: -may[id(one)])
    likeliest = sorted(found, key=lambda one: -one.worth)[:PROVED]
    least = likeliest[0].worth - NEAR
    near = {id(one) for one in order[:PROVED] if may[id(one)] > least}
    near |= {id(one) for one in likeliest if one.worth > least}
    return [_again(given, one, solved) if id(one) in near else one for one in order]


def _at_best(given: Differing, one: Rated) -> float:
    """How likely a set may be once its section is solved for."""
    together = _together(given, one.fit)
    if one.fit.base is not given.calculated or not _matters(given, together):
        return one.worth
    open_ = replace(given, uncertainty=given.uncertainty.loosened(np.abs(together)[given.rows]))
    eased = fitted(open_, one.fit.causes, one.fit)
    return replace(one, fit=replace(eased, uncertainty=one.fit.uncertainty)).worth


def _inner(fit: Fit) -> list[SectionCause]:
    return [cause for cause in fit.causes if isinstance(cause, SectionCause)]


def _unknown(given: Differing, fit: Fit) -> ComplexArray:
    """How large what is not known of figures of the section may be: together, and beyond their bends [ohm]."""
    z, found = given.calculated, _together(given, fit)
    for cause in _inner(fit):
        of_resistance, of_reactance = cause.bend.open(float(fit.values[fit.of(cause)][0]))
        found += z.real * of_resistance + 1j * z.imag * of_reactance
    return found


def _together(given: Differing, fit: Fit) -> ComplexArray:
    """How large what figures of the section do together may be: the product of what each does to ln R and X [ohm]."""
    z, found = given.calculated, np.zeros(len(given.calculated), dtype=complex)
    moved = [cause.effect(z, fit.values[fit.of(cause)]) for cause in _inner(fit)]
    for one, other in combinations(moved, 2):
        found += z.real * np.log(one.real / z.real) * np.log(other.real / z.real)
        found += 1j * z.imag * np.log(one.imag / z.imag) * np.log(other.imag / z.imag)
    return found


def _matters(given: Differing, missed: ComplexArray | FloatArray) -> bool:
    return float(np.linalg.norm(given.uncertainty.whitened(stacked(missed[given.rows].astype(complex))))) > MATTERS


def _again(given: Differing, one: Rated, solved: Solved) -> Rated:
    """Solved for at the amounts that are found there, until those stay where it was solved for."""
    known = np.zeros(len(given.calculated), dtype=complex)
    for _ in range(TURNS):
        inner, unknown = _inner(one.fit), _unknown(given, one.fit)
        if not _matters(given, unknown - known) and not _matters(given, on_another(one.fit)):
            break
        values = [one.fit.values[one.fit.of(c)] for c in inner]
        there = {c.key: c.parameters[0].amount(float(v[0])) for c, v in zip(inner, values, strict=True)}
        exact = solved(there)
        if exact is None:
            break
        near = applied(inner, np.concatenate(values), given.calculated)
        mended = replace(given, calculated=_parted(given.calculated, exact, near))
        beside = [(c.beside(there) if c.beside else None) or c for c in one.fit.causes]
        one, known = Rated.of(fitted(mended, beside, one.fit), given), unknown
    return one


def _parted(z: ComplexArray, exact: ComplexArray, near: ComplexArray) -> ComplexArray:
    """An impedance with the ratio of two others, R and X apart."""
    return np.asarray(z.real * exact.real / near.real + 1j * z.imag * exact.imag / near.imag)


def _difference(fit: Fit, given: Differing) -> FloatArray:
    left = given.measured - fit.impedance[given.rows]
    return np.concatenate((left.real, left.imag))


def _streak(values: FloatArray) -> float:
    """Lag-one correlation of a row of numbers over its standard deviation for noise, 1 / root n; 0 of few.

    Numbers below the noise that is stated, 1, say less the smaller they are.
    """
    if len(values) < 6:
        return 0.0
    square = max(float(values @ values), float(len(values)))
    return float(values[1:] @ values[:-1] / square * np.sqrt(len(values)))
