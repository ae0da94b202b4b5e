"""A rational Krylov basis that grows, the pencil projected on it, and the reduced model and its certificate from it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from crosscurrent.geometries.arrays import ComplexArray, FloatArray
from crosscurrent.geometries.errors import CrosscurrentError
from crosscurrent.solver.elements.factor import Numbers
from crosscurrent.solver.metals.band_medium import BandMedium
from crosscurrent.solver.metals.depth import MU0

from .basis import ReducedBasis
from .bound import PrecomputedBound
from .expansion import Expansion
from .followed import Followed, FollowedForm
from .followed_bound import FollowedBound
from .foster import FosterForm, split
from .pencil import Pencil
from .reduced import Reduced
from .sharing_images import SharingImages, enlarged

DROP = 1e-8  # part of a new vector that must be left after the others are taken out
ENOUGH = 0.1  # part that may be left without taking the others out again: a digit of orthogonality
MOST = 60  # vectors per pattern, at most


class SweepError(CrosscurrentError, ValueError):
    """A band that cannot be swept in one go."""


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
        """With what is followed as it is at each frequency."""
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
            within[group] = bundle.medium if isinstance(bundle.medium, BandMedium) else within[group]
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

    def certified(self, shifts: Numbers, watched: FloatArray) -> Reduced:
        """The reduced model with its modes and the norms of its residual."""
        if self.pencil.matrices.sharing:
            model = self.model()
            return replace(model, certificate=FollowedBound.of(self.pencil, model, shifts, watched))
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
