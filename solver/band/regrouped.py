"""A sweep by conductors seen from its circuits: the same basis of fields, driven as the circuits join conductors."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from crosscurrent.geometries.arrays import ComplexArray, FloatArray, IntArray
from crosscurrent.solver.field.circuits import Connections

from .basis import ReducedBasis, RegionForms
from .foster import FosterForm, Impedance, angular
from .krylov import SweepError
from .ports import Ports, fed_groups
from .reduced import Reduced
from .response import Response
from .sweep import Sweep


def by_circuits(sweep: Sweep) -> Sweep:
    """The sweep with a drive for each circuit, without a new solve.

    Whatever currents conductors in parallel carry, the basis of a sweep by conductors holds their field. The part of
    the bars that certifies the reduced model is not carried over: they are those of the mesh.

    Parameters
    ----------
    sweep : Sweep
        Made with matrix=True, or with fewer patterns than circuits; any other is returned as it is.

    Raises
    ------
    SweepError
        A bundle of strands lies in parallel to others.
    """
    if _is_by_circuits(sweep):
        return sweep
    turned = _turning(sweep)
    return replace(sweep, fine=turned(sweep.fine), coarse=turned(sweep.coarse))


def _is_by_circuits(sweep: Sweep) -> bool:
    return not sweep.fine.model.ports.matrix and sweep.fine.model.ports.drive is None


def _turning(sweep: Sweep) -> Callable[[Response], Response]:
    """What makes the responses of a sweep those of its circuits."""
    joined = Connections.of(sweep.problem.names, sweep.problem.circuits, sweep.problem.bundles)
    ports = fed_groups(joined, sweep.problem)
    # all but one of the conductors in parallel may differ in flux from the others
    if _shared_by_lay(sweep, joined):
        raise SweepError(
            "a bundle of strands in parallel to others, or solved for ring by ring: expected bundles that carry a "
            "current by themselves; the fields of the reduced model are known by conductors and not by circuits"
        )
    seen = sweep.fine.model.ports.member.T @ ports.member  # ports of conductors in groups
    apart = np.setdiff1d(np.arange(len(seen)), seen.argmax(axis=0))

    def turned(response: Response) -> Response:
        basis = response.model.basis
        found = _regrouped(basis, ports, seen, apart) if basis.ports.matrix else replace(basis, ports=ports)
        if not basis.ports.matrix:
            vars(found)["regions"] = basis.regions  # of the same groups
        return Response(response.problem, Reduced.of(found, response.model.factors), response.frequency)

    return turned


def _regrouped(basis: ReducedBasis, ports: Ports, seen: FloatArray, apart: IntArray) -> ReducedBasis:
    """The same fields with lifts of whole groups, and those of some conductors (a,) among the basis.

    All its forms are the ones there are, of sums of the same fields: nothing is integrated anew.

    Parameters
    ----------
    seen : (conductors, groups) float
        1 where a conductor is in a group.
    """
    groups, count, more = seen.shape[1], basis.vectors.shape[1], len(apart)
    old = np.zeros((len(seen) + count, groups + count + more))  # lifts and basis as sums of what they were
    old[: len(seen), :groups] = seen
    old[len(seen) :, groups : groups + count] = np.eye(count)
    old[apart, groups + count + np.arange(more)] = 1.0
    before = np.block([[basis.lift_coupling, basis.residual_coupling], [basis.residual_coupling.T, basis.stiffness]])
    form = old.T @ before @ old
    bundles = {bundle.region for bundle in basis.bundles}
    regions = []
    for number, one in enumerate(basis.regions):
        own = np.zeros((1 + count, 1 + count + more))
        own[:, : 1 + count] = np.eye(1 + count)
        own[0, 1 + count :] = apart == one.group
        turn = old if number in bundles else own[1:, 1:]
        forms = own.T @ one.mass @ own, turn.T @ one.energy @ turn, own.T @ one.load
        regions.append(RegionForms(int(seen[one.group].argmax()), *forms))
    found = ReducedBasis(
        basis.matrices, ports, basis.chi @ seen, np.column_stack((basis.vectors, basis.chi[:, apart])),
        form[:groups, :groups], form[:groups, groups:], form[groups:, groups:],
        np.column_stack((basis.states, np.zeros((len(basis.states), more)))),
    )  # fmt: skip
    vars(found)["regions"] = tuple(regions)
    return found


def impedance_of(sweep: Sweep) -> Impedance:
    """R and L of the circuits of a sweep, whatever its ports are.

    Parameters
    ----------
    sweep : Sweep
        As for `by_circuits`; a bundle of strands may lie in parallel to others.
    """
    ports, problem = sweep.fine.model.ports, sweep.problem
    joined = Connections.of(problem.names, problem.circuits, problem.bundles)
    if ports.matrix and _shared_by_lay(sweep, joined):
        return JoinedImpedance(sweep.fine.model.foster, joined, ports)
    return sweep.fine.model.foster if _is_by_circuits(sweep) else _turning(sweep)(sweep.fine).model.foster


@dataclass(frozen=True, eq=False)
class JoinedImpedance:
    """Of circuits, from that of all their conductors.

    Attributes
    ----------
    foster : FosterForm
        With a port for every conductor.
    joined : Connections
    ports : Ports
        Of the conductors.
    """

    foster: FosterForm
    joined: Connections
    ports: Ports

    @property
    def _resting(self) -> ComplexArray:
        return self.ports.of_conductors(self.foster.resting_resistance[None].astype(complex))

    def _impedance(self, frequency: npt.ArrayLike) -> ComplexArray:
        return self.ports.of_conductors(self.foster.impedance(frequency))

    @property
    def resting_resistance(self) -> FloatArray:
        """R at 0 Hz, (circuits, circuits) [ohm/m]."""
        return np.asarray(self.joined.terminal(self._resting)[0].real)

    def resistance(self, frequency: npt.ArrayLike) -> FloatArray:
        """R at frequencies (m,) [Hz], (m, circuits, circuits) [ohm/m]."""
        return np.asarray(self.joined.terminal(self._impedance(frequency)).real)

    def inductance(self, frequency: npt.ArrayLike) -> FloatArray:
        """L at frequencies (m,) [Hz], (m, circuits, circuits) [H/m]; at 0 Hz of direct currents."""
        omega = angular(frequency)[:, None, None]
        found = self.joined.terminal(self._impedance(frequency)).imag / np.where(omega > 0, omega, 1.0)
        paths = self.joined.spread(self._resting, self.joined.pattern.astype(complex))[0].real
        return np.where(omega > 0, found, paths.T @ self.ports.of_conductors(self.foster.inductance(0.0))[0] @ paths)


def _shared_by_lay(sweep: Sweep, joined: Connections) -> bool:
    """Whether a bundle in parallel to others, or its rings, have currents that no field of the circuits alone makes."""
    if not joined.plain:
        return True
    strands = np.array([medium is not None for medium in sweep.fine.model.discretisation.strands])
    return bool(((strands @ joined.member > 0) & (joined.member.sum(axis=0) > 1)).any())
