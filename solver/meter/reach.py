"""How the field far outside a run goes with frequency: what lies nearby feels it, and drives the run by the same.

As the currents of a run move to its surfaces, wide bars face to face above all, less of its field reaches out. By
reciprocity metal nearby changes the impedance by the square of that.
"""

from __future__ import annotations

import numpy as np

from crosscurrent.geometries.arrays import ComplexArray, FloatArray
from crosscurrent.solver.band.sweep import Sweep
from crosscurrent.solver.elements.half_plane import Weight
from crosscurrent.solver.field.probe import Probe

AWAY = 2.0  # radii of the circle around the mesh: where two opposite currents are a pair
AROUND = 16  # places there
SOME = 17  # frequencies; between them a spline
LEAST = 1e-12  # of the square of what the currents would make there, all of one direction: less is none


def reach(found: Sweep) -> ComplexArray | None:
    """The square of the field far outside over that at the lowest frequency, (m,); None where there is no field.

    Parameters
    ----------
    found : Sweep
        Its frequencies rising, above 0.

    Examples
    --------
    A wire without a return, whatever its skin:

    >>> from crosscurrent.geometries.plane.shapes import round_bar
    >>> from crosscurrent.solver.band.sweep import sweep
    >>> from crosscurrent.solver.field.alone import alone
    >>> np.abs(reach(sweep(alone(round_bar(0.010), 1.0), np.geomspace(10, 1e5, 9)))).round(6)[[0, 8]].tolist()
    [1.0, 1.0]
    """
    from scipy.interpolate import CubicSpline

    f = found.frequency
    some = np.unique(np.linspace(0, len(f) - 1, SOME).round().astype(int))
    squares = np.array([_square(found, int(k)) for k in some])
    if not (np.abs(squares) > LEAST * _alike(found)).all():
        return None
    if len(some) < 3:
        return np.ones(len(f), dtype=complex)
    over = squares / squares[0]
    logs = np.column_stack((np.log(np.abs(over)), np.unwrap(np.angle(over))))
    size, angle = CubicSpline(np.log(f[some]), logs)(np.log(f)).T
    return np.asarray(np.exp(size + 1j * angle))


def _square(found: Sweep, number: int) -> complex:
    """Of B, summed around the section."""
    flow = found.fine.flow(number)
    field = Probe(flow).flux_density(_places(flow.discretisation.mesh.centre, flow.discretisation.mesh.radius,
                                             axial=flow.discretisation.elements.weight is Weight.FLUX))  # fmt: skip
    return complex((field**2).sum())


def _alike(found: Sweep) -> float:
    """What it would be if the currents of the run, each in size, flowed in one line: the measure of a field of none."""
    flow = found.fine.flow(0)
    size = float(np.abs(flow.currents).sum()) / 2
    return AROUND * (2e-7 * size / (AWAY * flow.discretisation.mesh.radius)) ** 2


def _places(centre: FloatArray, radius: float, *, axial: bool) -> FloatArray:
    """On a circle around the mesh, or on the half circle beside the axis."""
    whole = np.pi if axial else 2 * np.pi
    angle = whole * (np.arange(AROUND) + 0.5) / AROUND - (np.pi / 2 if axial else 0.0)
    return np.asarray(centre + AWAY * radius * np.column_stack((np.cos(angle), np.sin(angle))))
