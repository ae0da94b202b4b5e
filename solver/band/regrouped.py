"""A sweep by conductors seen from its circuits: the same space of fields, driven as the circuits join conductors."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from .ports import Ports, Sharing
from .reduced import Reduced
from .response import Response
from .space import Space
from .sweep import Sweep


def by_circuits(sweep: Sweep) -> Sweep:
    """The sweep with a drive for each circuit, without a new solve.

    Whatever currents conductors in parallel carry, the space of a sweep by conductors holds their field. The part of
    the bars that certifies the reduced model is not carried over: they are those of the mesh.

    Parameters
    ----------
    sweep : Sweep
        Made with matrix=True; any other is returned as it is.
    """
    if not sweep.fine.model.ports.matrix:
        return sweep
    sharing = Sharing.of(sweep.problem)
    ports = Ports(sharing.member, sharing.pattern)
    # all but one of the conductors in parallel may differ in flux from the others
    first = sharing.member.argmax(axis=0)
    apart = np.setdiff1d(np.arange(len(sharing.member)), first)

    def turned(response: Response) -> Response:
        space = response.model.space
        basis = np.column_stack((space.basis, space.chi[:, apart]))
        joined = Space.spanned(space.discretisation, ports, space.chi @ sharing.member, basis)
        return Response(response.problem, Reduced.of(joined, response.model.factors), response.frequency)

    return replace(sweep, fine=turned(sweep.fine), coarse=turned(sweep.coarse))
