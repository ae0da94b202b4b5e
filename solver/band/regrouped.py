"""A sweep by conductors seen from its circuits: the same basis of fields, driven as the circuits join conductors."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from crosscurrent.solver.field.circuits import Connections

from .basis import ReducedBasis
from .krylov import SweepError
from .ports import Ports
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
    if not sweep.fine.model.ports.matrix and sweep.fine.model.ports.drive is None:
        return sweep
    joined = Connections.of(sweep.problem.names, sweep.problem.circuits, sweep.problem.bundles)
    ports = Ports(joined.member, joined.pattern)
    # all but one of the conductors in parallel may differ in flux from the others
    if ((joined.member.sum(axis=0) > 1) & (sweep.fine.model.discretisation.given @ joined.member > 0)).any():
        raise SweepError(
            "a bundle of strands in parallel to others: expected bundles that carry a current by themselves; its even "
            "current leaves no ladder and no course in time"
        )
    first = joined.member.argmax(axis=0)
    apart = np.setdiff1d(np.arange(len(joined.member)), first)

    def turned(response: Response) -> Response:
        basis = response.model.basis
        if basis.ports.matrix:
            vectors = np.column_stack((basis.vectors, basis.chi[:, apart]))
            states = np.column_stack((basis.states, np.zeros((len(basis.states), len(apart)))))
            found = ReducedBasis.spanned(basis.matrices, ports, basis.chi @ joined.member, vectors, states)
        else:
            found = replace(basis, ports=ports)  # the same groups
        return Response(response.problem, Reduced.of(found, response.model.factors), response.frequency)

    return replace(sweep, fine=turned(sweep.fine), coarse=turned(sweep.coarse))
