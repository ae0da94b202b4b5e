"""How the reduced model of a band is built: a basis from a few real shifts, grown pass by pass until nothing moves.

Where media follow the frequency the matrices of two shifts are no multiples of one pencil: pushing the newest block
from shift to shift does not span what is needed, and each shift has a series of its own instead (`expansion`).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from crosscurrent.geometries.arrays import ComplexArray, FloatArray
from crosscurrent.solver.field.discretisation import Discretisation

from .expansion import Expansion
from .krylov import RationalKrylov
from .pencil import Pencil
from .ports import Ports
from .reduced import Reduced
from .settling import expected_error, left_of_losses

PER_DECADE = 0.5  # shifts
TOPS = (0.6, 0.35)  # first shift over the end of the band where media follow the frequency, the first that is one
CATCHING = 2  # terms of the other series at once that the first has already
STALLED = 0.1  # part of the bound that a pass leaves where it wants fields of a further frequency
FIRST, LAST = 10.0, 0.6  # first and last shift, in terms of the slowest mode's rate and the end of the band: measured
CAUTION = 0.5  # the bound is known to be two to three times the error: it is asked for once it may hold
CHECKS = 4  # frequencies per decade at which movement is watched
ROUNDING = 1e-13  # bound on R and L below which more vectors bring nothing
FIRST_SHIFT_SOLVES = 6  # solves at one shift that tell how good a mesh is at one frequency


def reduce(
    discretisation: Discretisation, ports: Ports, low: float, high: float, *, tolerance: float = 1e-6
) -> Reduced:
    """The reduced model of a section on one mesh at one order.

    Parameters
    ----------
    discretisation : Discretisation
        With smooth surfaces.
    ports : Ports
    low, high : float
        Band of frequencies [Hz], 0 < low <= high; direct current is exact with any.
    tolerance : float
        Wanted relative bound on R and L against the mesh's own, for all currents.

    Raises
    ------
    SweepError
        A surface is rough: its factor changes with frequency.

    Examples
    --------
    >>> from crosscurrent.geometries.meshing.mesher import mesh_section
    >>> from crosscurrent.geometries.plane.part import Part
    >>> from crosscurrent.geometries.plane.section import Section
    >>> from crosscurrent.geometries.plane.shapes import round_bar
    >>> from crosscurrent.solver.field.discretisation import RegionMetal
    >>> mesh = mesh_section(Section((Part("rod", round_bar(0.010)),)), [[1e-3]])
    >>> one = Ports(np.eye(1), np.eye(1))
    >>> model = reduce(Discretisation(mesh, (RegionMetal(58e6),), 4), one, 50.0, 5000.0)
    >>> round(float(model.foster.resistance(0.0)[0, 0, 0]) * 1e6, 3)  # 1 / (58 MS/m x 78.54 mm2)
    219.524
    """
    return reduced(first_shift_basis(pencil_for(discretisation, ports, high)), low, high, tolerance=tolerance)


def pencil_for(discretisation: Discretisation, ports: Ports, high: float) -> Pencil:
    """With its first shift for a band that ends at a frequency [Hz]: that frequency itself where rows have no other."""
    followed = [m.band for m in discretisation.metals if m.band is not None and not m.given]
    if not followed:
        return Pencil(discretisation, ports, first_shift(high))
    top = 2 * math.pi * high
    real = [share * top for share in TOPS if all(band.expands(share * top) for band in followed)]
    return Pencil(discretisation, ports, real[0] if real else 1j * top)


def first_shift(high: float) -> float:
    """The last shift for a band that ends at a frequency [Hz], and the best single one for that frequency [rad/s]."""
    return LAST * 2 * np.pi * high


def first_shift_basis(pencil: Pencil) -> RationalKrylov:
    """A few fields at the pencil's first shift: right to about 1e-3 there, and the beginning of a model of a band."""
    krylov = RationalKrylov.begun(pencil)
    if pencil.matrices.sharing:
        for _ in range(FIRST_SHIFT_SOLVES + 1):
            krylov.follow(krylov.expansion)
        return krylov
    solve = pencil.shifted(pencil.first_shift)
    krylov.add(solve(pencil.drive))
    for _ in range(FIRST_SHIFT_SOLVES):
        krylov.add(solve(krylov.pushed()))
    return krylov


def reduced(
    krylov: RationalKrylov,
    low: float,
    high: float,
    *,
    tolerance: float,
    losses: float = math.inf,
    certified: bool = True,
) -> Reduced:
    """The same, from the basis of the first shift, grown further; without its certificate where none is needed.

    `losses` is how far the loss of one region may still move: R and L of a Galerkin solution are off by the square of
    what its fields are off, single losses by the field itself.

    """
    pencil = krylov.pencil
    watched = np.geomspace(low, high, max(2, math.ceil(CHECKS * math.log10(high / low)) + 1))
    passes = (_expanded if pencil.matrices.sharing else _shifted)(krylov, low, high)
    history, counts, before = [krylov.foster().impedance(watched)], [krylov.count], math.inf
    while not krylov.exhausted:
        passes.taken(krylov)
        history.append(krylov.foster().impedance(watched))
        counts.append(krylov.count)
        expected = expected_error(history)
        if expected >= CAUTION * tolerance:
            continue
        if not certified:
            break
        if losses < math.inf and expected > ROUNDING and left_of_losses(krylov.model(), counts, watched) > losses:
            continue  # a certificate costs as much as some passes
        model = krylov.certified(passes.shifts, watched)
        bounds = np.max(model.relative_bounds(watched), axis=0)
        bound = float(bounds.max())
        if bound <= tolerance or bound >= before:  # down to rounding
            return model
        before = bound
        passes.miss(2 * np.pi * float(watched[bounds.argmax()]), bound)
    return krylov.certified(passes.shifts, watched) if certified else krylov.model()


@dataclass(eq=False)
class _Passes:
    """Solves with the newest block at every real shift in turn.

    In which order does not matter: what they span depends on how often each was.
    """

    pencil: Pencil
    shifts: FloatArray
    at_first: int
    ahead: int = FIRST_SHIFT_SOLVES + 1

    def miss(self, omega: float, bound: float) -> None:
        """Where most is missing, and how much: the shifts stay."""

    def taken(self, krylov: RationalKrylov) -> None:
        """One more of each."""
        for number, omega in enumerate(self.shifts):
            if number == self.at_first and self.ahead:
                self.ahead -= 1
            else:
                krylov.add(self.pencil.shifted(float(omega))(krylov.pushed()))


def _shifted(krylov: RationalKrylov, low: float, high: float) -> _Passes:
    """After two solves at rest."""
    pencil = krylov.pencil
    for _ in range(2):
        krylov.add(pencil.centred(pencil.resting(krylov.pushed())))
    shifts = _shifts(max(2 * np.pi * low, FIRST * float(krylov.foster().rates[0])), LAST * 2 * np.pi * high)
    at_first = int(np.abs(np.log(shifts / pencil.first_shift)).argmin())
    shifts[at_first] = pencil.first_shift
    return _Passes(pencil, shifts, at_first)


@dataclass(eq=False)
class _Series:
    """Another term at every shift in turn, where media follow the frequency."""

    pencil: Pencil
    expansions: list[Expansion]
    ahead: int = FIRST_SHIFT_SOLVES + 1
    before: float = math.inf

    @property
    def shifts(self) -> ComplexArray:
        """Those that norms of the residual are for [rad/s]: the first is mostly enough."""
        every = [e.shift for e in self.expansions]
        return np.array(every[:1] if math.isinf(self.before) else [*every, 0.0], dtype=complex)

    def miss(self, omega: float, bound: float) -> None:
        """Where most is missing, a further one there, once further terms bring too little."""
        if bound > STALLED * self.before:
            self.expansions.append(Expansion.around(1j * omega, self.pencil))
        self.before = bound

    def taken(self, krylov: RationalKrylov) -> None:
        """One more of each, two where the first is ahead, unless the others bring nothing that it has not brought."""
        before, others = krylov.count, self.expansions[1:]
        for _ in range(min(self.ahead, CATCHING) if others else 0):
            self.ahead -= 1
            krylov.follow(*others)
        if krylov.count == before:
            self.ahead = 0
            krylov.follow(*self.expansions)
        krylov.exhausted = krylov.count == before


def _expanded(krylov: RationalKrylov, low: float, high: float) -> _Series:
    """After two solves at rest."""
    pencil, first = krylov.pencil, krylov.expansion
    krylov.add(pencil.centred(pencil.resting(pencil.drive)))
    krylov.add(pencil.centred(pencil.resting(krylov.pushed())))
    start, top = max(2 * np.pi * low, FIRST * float(krylov.foster().rates[0])), 2 * np.pi * high
    spread = _shifts(start, top)
    others = np.delete(spread, np.abs(np.log(spread / abs(first.shift))).argmin()).tolist()
    real = [w for w in others if all(b.medium.expands(w) for b in pencil.matrices.sharing)]
    # as fields are at those frequencies where there is nothing simpler, and above the first shift in any case
    turning = [1j * w for w in others if w not in real and (not real or w > abs(first.shift))]
    return _Series(pencil, [first, *(Expansion.around(w, pencil) for w in (*real, *turning))])


def _shifts(low: float, high: float) -> FloatArray:
    """Angular frequencies spread evenly on a log scale from low (or high, if that is lower) to high [rad/s]."""
    low = min(low, high)
    return np.unique(np.geomspace(low, high, max(1, round(math.log10(high / low) * PER_DECADE)) + 1))
