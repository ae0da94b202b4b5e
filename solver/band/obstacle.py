"""Why a problem cannot be swept in one go."""

from __future__ import annotations

from crosscurrent.solver.field.problem import Problem


def obstacle(problem: Problem) -> str | None:
    """Why no reduced model can hold a band of a problem, whatever the band.

    Examples
    --------
    >>> from crosscurrent.geometries.plane.shapes import round_bar
    >>> from crosscurrent.solver.field.alone import alone
    >>> obstacle(alone(round_bar(0.010), 100.0)) is None
    True
    """
    for conductor in problem.conductors:
        if conductor.is_saturable:
            return (
                f'conductor "{conductor.name}" has a magnetisation curve, whose permeability goes with the currents of '
                "each frequency: a reduced model needs a constant permeability; solve the frequencies one by one"
            )
        if conductor.roughness:
            return (
                f'conductor "{conductor.name}" is rough, which changes its metal with frequency: a sweep by a reduced '
                "model needs smooth surfaces; set its roughness to 0 or solve the frequencies one by one"
            )
    return None
