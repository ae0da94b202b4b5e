"""How the reduced model of a band is built: a basis from a few real shifts, grown until nothing moves.

Where media follow the frequency the matrices of two shifts are no multiples of one pencil: pushing the newest block
from shift to shift does not span what is needed, and each shift has a series of its own instead (`expansion`).
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from crosscurrent.geometries.arrays import ComplexArray, FloatArray
from crosscurrent.geometries.errors import CrosscurrentError
from crosscurrent.solver.elements.factor import Numbers
from crosscurrent.solver.field.discretisation import Discretisation
from crosscurrent.solver.metals.band_medium import BandMedium
from crosscurrent.solver.metals.depth import MU0

from .basis import ReducedBasis
from .bound import PrecomputedBound
from .expansion import Expansion
from .followed import Followed, FollowedForm
from .followed_bound import FollowedBound
from .foster import FosterForm, split
from .pencil import Pencil
from .ports import Ports
from .reduced import Reduced
from .settling import expected_error, left_of_losses
from .sharing_images import SharingImages, enlarged

DROP = 1e-8  # part of a new vector that must be left after the others are taken out
ENOUGH = 0.1  # part that may be left without taking the others out again: a digit of orthogonality
PER_DECADE = 0.5  # shifts
TOPS = (0.6, 0.35)  # first shift over the end of the band where media follow the frequency, the first that is one
STALLED = 0.1  # part of the bound that a pass leaves where it wants fields of a further frequency
FIRST, LAST = 10.0, 0.6  # first and last shift, in terms of the slowest mode's rate and the end of the band: measured
MOST = 60  # vectors per pattern, at most
CAUTION = 0.5  # the bound is known to be two to three times the error: it is asked for once it may hold
CHECKS = 4  # frequencies per decade at which movement is watched
ROUNDING = 1e-13  # bound on R and L below which more vectors bring nothing
FIRST_SHIFT_SOLVES = 6  # solves at one shift that tell how good a mesh is at one frequency


class SweepError(CrosscurrentError, ValueError):
    """A band that cannot be swept in one go."""


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
        model = krylov.certified(passes.shifts, watched, tolerance)
        bounds = np.max(model.relative_bounds(watched), axis=0)
        bound = float(bounds.max())
        if bound <= tolerance or bound >= before:  # down to rounding
            return model
        before = bound
        passes.miss(2 * np.pi * float(watched[bounds.argmax()]), bound)
    return krylov.certified(passes.shifts, watched, tolerance) if certified else krylov.model()


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
        """Those that norms of the residual are for [rad/s]."""
        return np.array([e.shift for e in self.expansions], dtype=complex)

    def miss(self, omega: float, bound: float) -> None:
        """Where most is missing, a further one there, once further terms bring too little."""
        if bound > STALLED * self.before:
            self.expansions.append(Expansion.around(1j * omega, self.pencil))
        self.before = bound

    def taken(self, krylov: RationalKrylov) -> None:
        """One more of each; the first is ahead, unless the others bring nothing that it has not brought."""
        before = krylov.count
        if self.ahead and len(self.expansions) > 1:
            self.ahead -= 1
            krylov.follow(*self.expansions[1:])
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
    below = _shifts(start, top)[:-1].tolist()
    below = [w for w in below if all(b.medium.expands(w) for b in pencil.matrices.sharing)]
    return _Series(pencil, [first, *(Expansion.around(w, pencil) for w in below)])


def _shifts(low: float, high: float) -> FloatArray:
    """Angular frequencies spread evenly on a log scale from low (or high, if that is lower) to high [rad/s]."""
    low = min(low, high)
    return np.unique(np.geomspace(low, high, max(1, round(math.log10(high / low) * PER_DECADE)) + 1))


@dataclass(eq=False)
class RationalKrylov:
    """A basis, M-orthonormal to a few digits and with zero means, and the pencil projected on it.

    Attributes
    ----------
    pencil : Pencil
    room : int
        Most vectors it may take.
    exhausted : bool
        Whether the last block brought nothing new.
    """

    pencil: Pencil
    room: int
    count: int = 0
    exhausted: bool = False

    def __post_init__(self) -> None:
        unknowns = self.pencil.matrices.count
        self._basis = np.empty((unknowns, self.room), order="F")
        self._images = [np.empty((unknowns, 0))]  # M times the blocks that are not projected yet, and the newest
        self._projected = np.zeros((0, 0)), np.zeros((0, 0)), np.zeros((len(self.pencil.conductance), 0))
        self._before: ReducedBasis | None = None
        self._shared = [SharingImages(bundle, self.room) for bundle in self.pencil.matrices.sharing]

    @classmethod
    def begun(cls, pencil: Pencil) -> RationalKrylov:
        """Empty."""
        if any(m.surface != 1 for m in pencil.discretisation.metals):
            raise SweepError(
                "a rough surface: its effect changes with frequency, so that one reduced model cannot hold a band; "
                "solve the frequencies one by one or set the roughness to 0"
            )
        room = 2 * MOST if pencil.matrices.sharing else MOST  # fields of a frequency are two
        return cls(pencil, pencil.ports.pattern.shape[1] * room)

    @cached_property
    def expansion(self) -> Expansion:
        """Of the first shift."""
        return Expansion.around(self.pencil.first_shift, self.pencil)

    @property
    def vectors(self) -> FloatArray:
        """(unknowns + states, r)."""
        return self._basis[:, : self.count]

    def pushed(self) -> FloatArray:
        """M times the newest block."""
        return self._images[-1]

    def follow(self, *expansions: Expansion) -> None:
        """Append the next terms of some series, real and imaginary parts each."""
        rights = self._driven([e for e in expansions if e.begun])
        blocks = []
        for expansion in expansions:
            right = next(rights) if expansion.begun else self.pencil.drive
            blocks.append(_parts(self.pencil.shifted(expansion.shift)(right)))
        first, found = 0, self.add(np.concatenate(blocks, axis=1))
        for expansion, block in zip(expansions, blocks, strict=True):
            first, some = first + block.shape[1], found[:, first : first + block.shape[1]]
            expansion.take(_joined(some) if expansion.shift.imag else some)

    def _driven(self, expansions: list[Expansion]) -> Iterator[Numbers]:
        """The right sides of their next terms."""
        if not expansions:
            return
        driving = [e.driving(self.count) for e in expansions]
        pushed = [_parts(own) for own, _ in driving]
        columns = np.concatenate(pushed, axis=1)
        found = -MU0 * self.pencil.matrices.weighed(self.vectors @ columns)
        for number, images in enumerate(self._shared):
            stiff, heavy = (np.concatenate([_parts(w[number][k]) for _, w in driving], axis=1) for k in (0, 1))
            found[images.bundle.inside] -= images.summed(stiff, heavy)
        for expansion, own in zip(expansions, pushed, strict=True):
            some, found = np.split(found, [own.shape[1]], axis=1)
            yield _joined(some) if expansion.shift.imag else some

    def add(self, block: FloatArray) -> FloatArray:
        """Take the rest of the basis out of a block, twice where little is left, and append that.

        Returns its parts in the basis as it is then, (r, k).
        """
        weighed, taken = self.pencil.matrices.weighed, np.zeros(block.shape[1])
        own, image = np.zeros((self.count, block.shape[1])), weighed(block)
        for _ in range(2):
            beside = self.vectors.T @ image
            block, own = block - self.vectors @ beside, own + beside
            image = weighed(block)
            taken += (beside**2).sum(axis=0)
            rest = np.einsum("nk,nk->k", block, image)
            if (rest > ENOUGH**2 * taken).all():
                break
        size = np.sqrt(taken + rest)
        fresh: list[tuple[FloatArray, FloatArray]] = []
        parts = np.zeros((len(size), len(size)))
        for number, (column, pushed) in enumerate(zip((block / size).T, (image / size).T, strict=True)):
            for k, (other, its) in [*enumerate(fresh)] * 2:
                part = its @ column
                column, pushed = column - part * other, pushed - part * its
                parts[k, number] += part
            left = float(np.sqrt(max(column @ pushed, 0.0)))
            if left > DROP and self.count + len(fresh) < self.room:
                parts[len(fresh), number] = left
                fresh.append((column / left, pushed / left))
        self.exhausted = not fresh
        if fresh:
            first, self.count = self.count, self.count + len(fresh)
            # what is left where little is has means of its own: rounding that the next terms would raise
            centred = self.pencil.centred(np.column_stack([column for column, _ in fresh]))
            self._basis[:, first : self.count] = centred
            self._images.append(weighed(centred))
            for images in self._shared:
                images.add(centred)
        return np.concatenate((own, parts[: len(fresh)] * size))

    @property
    def projected(self) -> tuple[FloatArray, FloatArray, FloatArray]:
        """x' K x and x' M x, (r, r), and (K chi)' x, (groups, r)."""
        stiffness, gram, residual_coupling = self._projected
        done = len(gram)
        if done < self.count:
            fresh, images = self._basis[:, done : self.count], np.column_stack(self._images)
            both = np.concatenate((self.pencil.matrices.stiffened(fresh), images[:, done - self.count :]), axis=1)
            onto, images = np.split(self.vectors.T @ both, 2, axis=1)
            stiffness, gram = enlarged(stiffness, onto), enlarged(gram, images)
            residual_coupling = np.concatenate((residual_coupling, self.pencil.lift_residual.T @ fresh), axis=1)
            self._projected = stiffness, gram, residual_coupling
            for shared in self._shared:
                shared.project()
            self._images = self._images[-1:]
        return self._projected

    def foster(self) -> FosterForm:
        """The impedance as the basis stands."""
        pencil, (stiffness, gram, residual_coupling) = self.pencil, self.projected
        surface, rates, coupling, modal_matrix = split(pencil.lift_coupling, residual_coupling, stiffness, gram)
        resting = FosterForm(pencil.ports.pattern, pencil.conductance, surface, rates, coupling)
        return self._following(resting, modal_matrix)

    def _following(self, resting: FosterForm, modal_matrix: FloatArray) -> FosterForm:
        """With strands that share as the field asks as they are at each frequency."""
        sharing, member = self.pencil.matrices.sharing, self.pencil.ports.member
        if not sharing:
            return resting
        parts = self.pencil.discretisation.mesh.part_of_region
        groups = [int(member[parts[bundle.region]].argmax()) for bundle in sharing]
        found = [
            Followed.in_modes(group, bundle.medium, *known.projected, modal_matrix)
            for group, bundle, known in zip(groups, sharing, self._shared, strict=True)
        ]
        within: list[BandMedium | None] = [None] * member.shape[1]
        for group, bundle in zip(groups, sharing, strict=True):
            within[group] = bundle.medium
        return FollowedForm.of(replace(resting, within=tuple(within)), found)

    def reduced_basis(self) -> ReducedBasis:
        """What the basis spans, as it stands."""
        pencil, (stiffness, _, residual_coupling) = self.pencil, self.projected
        vectors, states = np.split(self.vectors, [pencil.matrices.unknowns])
        begun = self._before.regions if self._before is not None else ()
        self._before = ReducedBasis(
            pencil.matrices, pencil.ports, pencil.chi, vectors,
            pencil.lift_coupling, residual_coupling, stiffness, states, begun,
        )  # fmt: skip
        return self._before

    def model(self) -> Reduced:
        """What it makes of the impedance and the fields, without a certificate."""
        return Reduced.of(self.reduced_basis())

    def certified(self, shifts: Numbers, watched: FloatArray, tolerance: float = 0.0) -> Reduced:
        """The reduced model with its modes and the norms of its residual.

        Where media follow the frequency by the first shift alone, if that is enough for the tolerance.
        """
        if self.pencil.matrices.sharing:
            model = self.model()
            for some in (shifts[:1], np.append(shifts, 0.0)):
                model = replace(model, certificate=FollowedBound.of(self.pencil, model, some, watched))
                if np.max(model.relative_bounds(watched)) <= tolerance:
                    break
            return model
        pencil, d, foster = self.pencil, self.pencil.matrices, self.foster()
        vectors, (stiffness, gram, residual_coupling) = self.vectors, self.projected
        # K chi and K x less their parts in the space M chi, M x: the latter are multiples of the former
        outside = pencil.lift_residual - pencil.load @ (pencil.lift_coupling / pencil.conductance[:, None])
        outside -= d.weighed(vectors @ np.linalg.solve(gram, residual_coupling.T))
        mean = residual_coupling / pencil.conductance[:, None]
        onto = d.stiffened(outside).T @ vectors - outside.T @ pencil.load @ mean
        onto -= d.weighed(outside).T @ vectors @ np.linalg.solve(gram, stiffness)
        modal_matrix = split(pencil.lift_coupling, residual_coupling, stiffness, gram)[3]
        mode_residual = np.linalg.solve(outside.T @ outside, onto) @ modal_matrix
        unit = PrecomputedBound(shifts, np.zeros((0, 0, 0)), mode_residual, np.eye(len(mode_residual)))
        directions = _spanned(unit.residual(foster, watched))
        outside = outside @ directions
        solves = [pencil.resting, *(pencil.shifted(w) for w in shifts.tolist())]
        norms = np.array([outside.T @ solve(outside) for solve in solves])
        norms = 0.5 * (norms + norms.transpose(0, 2, 1))
        known = PrecomputedBound(np.concatenate(([0.0], shifts)), norms, mode_residual, directions)
        ones, level = np.ones(len(d.discretisation.metals)), np.zeros((len(residual_coupling), len(modal_matrix)))
        basis = self.reduced_basis()
        return Reduced(basis, ones, replace(foster, within=basis.within(ones)), modal_matrix, level, known)


def _parts(field: Numbers) -> FloatArray:
    """Real and imaginary parts side by side, where there are any."""
    return np.concatenate((field.real, field.imag), axis=1) if np.iscomplexobj(field) else field


def _joined(parts: FloatArray) -> ComplexArray:
    real, imaginary = np.split(parts, 2, axis=1)
    return np.asarray(real + 1j * imaginary)


def _spanned(columns: ComplexArray) -> FloatArray:
    """Orthonormal real directions (n, k) of all columns of matrices (m, n, q)."""
    flat = columns.transpose(1, 0, 2).reshape(columns.shape[1], -1)
    left, size, _ = np.linalg.svd(np.concatenate((flat.real, flat.imag), axis=1), full_matrices=False)
    return np.asarray(left[:, size > DROP * size[0]])
