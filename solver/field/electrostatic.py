"""Capacitance per metre: Laplace's equation in the air of a section, every conductor at one potential.

    integral eps grad v . grad w = 0,   v = 1 on one conductor, 0 on the others

gives the matrix of charges per potential. The space beyond the outer circle is exact wherever the charges sum to
zero. The energy of a trial field is never below the true one (Dirichlet's principle), so a capacitance comes out too
large, and less so at a higher order: two orders on one mesh give the error bar.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from scipy import sparse

from crosscurrent.geometries.arrays import FloatArray
from crosscurrent.geometries.meshing.bisect import bisect, largest_first
from crosscurrent.geometries.meshing.lattice import lattice
from crosscurrent.geometries.meshing.mesh import AIR, Mesh
from crosscurrent.geometries.meshing.mesher import mesh_section
from crosscurrent.geometries.meshing.shape_functions import values
from crosscurrent.geometries.plane.section import Section
from crosscurrent.solver.elements.exterior import exterior
from crosscurrent.solver.elements.factor import factorised
from crosscurrent.solver.elements.half_plane import Weight
from crosscurrent.solver.elements.operators import Elements

VACUUM = 8.8541878128e-12  # permittivity [F/m], CODATA 2018
FIRST, HIGHEST = 4, 7  # orders of the elements
MOST = 0.9  # share of the error that refinement goes for
FEW = 0.2  # share of the triangles below which that error counts as local
LARGEST = 150_000  # unknowns at which refinement stops
HEAVY = 600_000  # unknowns times conductors, each with a field of its own, at which the order rises no more
SAFETY = 2.0  # of the bar over the change from one order to the next: at corners the orders gain little each
FLOOR = 1e-9  # relative: rounding
CORNERS = 0.03  # size of the elements at corners, of the conductor's largest inner circle


@dataclass(frozen=True, eq=False)
class Capacitance:
    """Capacitance of one group of conductors against another, and the field between them.

    Attributes
    ----------
    value : float
        In air [F/m].
    error : float
        Relative bound.
    elements : Elements
    potential : (unknowns,) float
        For 1 V between the groups [V].
    """

    value: float
    error: float
    elements: Elements
    potential: FloatArray


def capacitance(
    mesh: Mesh, out: Sequence[int], back: Sequence[int], *, accuracy: float = 1e-5, largest: int = LARGEST
) -> Capacitance:
    """Capacitance between two groups of conductors, each at one potential, with opposite charges.

    Conductors of neither group hold no charge and take the potential that results: a screen or wall that is earthed
    changes the figure.

    Parameters
    ----------
    mesh : Mesh
        Any mesh of the section; it is refined where the field needs it.
    out, back : sequence of int
        Numbers of conductors.
    accuracy : float
        Wanted relative bound on the error.
    largest : int
        Unknowns at which refinement stops: the error then says what was reached.

    Examples
    --------
    A coaxial line, 2 pi eps / ln(b / a):

    >>> from crosscurrent.geometries.meshing.mesher import mesh_section
    >>> from crosscurrent.geometries.plane.part import Part
    >>> from crosscurrent.geometries.plane.section import Section
    >>> from crosscurrent.geometries.plane.shapes import round_bar, tube
    >>> coax = Section((Part("core", round_bar(0.010)), Part("screen", tube(0.030, 0.001))))
    >>> found = capacitance(mesh_section(coax, [[1e-3], [1e-3]]), [0], [1])
    >>> round(found.value * 1e12, 3)
    54.032
    """
    order = FIRST
    coarse, best = _solved(mesh, order, out, back), None
    while True:
        fine = _solved(mesh, order + 1, out, back)
        error = SAFETY * abs(coarse.value / fine.value - 1) + FLOOR
        if best is None or error < best.error:
            best = replace(fine, error=error)
        if best.error <= accuracy or fine.elements.count > largest:
            return best
        weights = _changes(fine, coarse)
        chosen = largest_first(weights, MOST)
        if order + 1 < HIGHEST and chosen.mean() > FEW:
            coarse, order = fine, order + 1
        else:
            mesh = bisect(mesh, chosen)
            coarse = _solved(mesh, order, out, back)


def section_capacitance(
    section: Section, out: tuple[int, ...], back: tuple[int, ...], accuracy: float = 1e-4
) -> Capacitance:
    """As `capacitance`, on a mesh of its own.

    Examples
    --------
    >>> from crosscurrent.geometries.plane.part import Part
    >>> from crosscurrent.geometries.plane.section import Section
    >>> from crosscurrent.geometries.plane.shapes import round_bar
    >>> wires = Section(tuple(Part(n, round_bar(0.002).placed((x, 0))) for n, x in (("a", 0.0), ("b", 0.02))))
    >>> round(section_capacitance(wires, (0,), (1,)).value * 1e12, 2)  # pi eps / acosh(D / d)
    9.29
    """
    skins = [
        [CORNERS * part.inscribed_radius] * (1 + len(part.layers) + len(part.pieces))
        for part in section.parts
    ]
    return capacitance(mesh_section(section, skins), out, back, accuracy=accuracy)


def _solved(mesh: Mesh, order: int, out: Sequence[int], back: Sequence[int]) -> Capacitance:
    """At one order, without an error bar."""
    elements = Elements(mesh, order, Weight.VOLUME if mesh.axial else Weight.PLANE)
    unit = _joined(elements, out, back)
    stiffness, field = _filled(elements, unit)
    charge = field.T @ (stiffness @ field)
    pull = np.zeros(unit.shape[1])
    pull[:2] = 1.0, -1.0
    level = np.linalg.solve(0.5 * (charge + charge.T), pull)
    apart = level[0] - level[1]
    return Capacitance(float(VACUUM / apart), math.nan, elements, np.asarray(field @ level / apart))


def charges(section: Section, accuracy: float = 1e-4) -> tuple[FloatArray, float]:
    """Charge on every conductor of a section round an axis per volt on each, all others at the far zero.

    Parameters
    ----------
    section : Section
        Round an axis: the zero is at infinity, which a plane has not.
    accuracy : float
        Wanted relative bound on the error of the energy of even potentials.

    Returns
    -------
    matrix, error : (conductors, conductors) float [F], float
        Symmetric; the relative bound on its largest entries.

    Examples
    --------
    A ball alone, 4 pi eps a:

    >>> from crosscurrent.geometries.plane.part import Part
    >>> from crosscurrent.geometries.plane.shapes import round_bar
    >>> found, _ = charges(Section((Part("ball", round_bar(0.1)),), axial=True))
    >>> round(float(found[0, 0]) * 1e12, 4)
    5.5633
    """
    skins = [[CORNERS * p.inscribed_radius] * (1 + len(p.layers) + len(p.pieces)) for p in section.parts]
    mesh, order = mesh_section(section, skins), FIRST
    while True:
        (coarse, _), (fine, count) = (_charged(mesh, n) for n in (order, order + 1))
        error = SAFETY * float(np.abs(coarse - fine).max() / np.abs(fine).max()) + FLOOR
        if error <= accuracy or order + 1 == HIGHEST or count * len(fine) > HEAVY:
            return VACUUM * fine, error
        order += 1


def _charged(mesh: Mesh, order: int) -> tuple[FloatArray, int]:
    """Charges over the permittivity by unit potentials, (conductors, conductors) [m], and how many unknowns it took."""
    elements = Elements(mesh, order, Weight.VOLUME)
    unit = np.zeros((elements.count, int(mesh.part_of_region.max()) + 1))
    for k in range(unit.shape[1]):
        unit[elements.dofs[mesh.part == k], k] = 1.0
    stiffness, field = _filled(elements, unit)
    charge = field.T @ (stiffness @ field)
    return np.asarray(0.5 * (charge + charge.T)), elements.count


def _filled(elements: Elements, unit: FloatArray) -> tuple[sparse.csc_array, FloatArray]:
    """Stiffness of the air, and the potentials in it for those of the conductors, (unknowns, k)."""
    air = np.flatnonzero(elements.mesh.region == AIR)
    stiffness = sparse.csc_array(elements.assemble(elements.stiffness_blocks[air], air) + exterior(elements))
    free = np.zeros(elements.count, bool)
    free[elements.dofs[air]] = True
    free &= ~unit.any(axis=1)
    field = unit.copy()
    field[free] = factorised(sparse.csc_array(stiffness[free][:, free]))(-np.asarray(stiffness @ unit)[free])
    return stiffness, field


def _joined(elements: Elements, out: Sequence[int], back: Sequence[int]) -> FloatArray:
    """1 on all unknowns of a group of joined conductors, (unknowns, groups): out, back, then the others one by one."""
    mesh = elements.mesh
    loose = [[k] for k in range(int(mesh.part_of_region.max()) + 1) if k not in (*out, *back)]
    groups = (out, back, *loose)
    unit = np.zeros((elements.count, len(groups)))
    for k, group in enumerate(groups):
        inside = np.isin(mesh.part, group)
        unit[elements.dofs[inside], k] = 1.0
    return unit


def _changes(fine: Capacitance, coarse: Capacitance) -> FloatArray:
    """Energy of the difference of two orders in every triangle, (t,)."""
    raised = values(coarse.elements.order, lattice(fine.elements.order)[:, 1:] / fine.elements.order)
    change = fine.potential[fine.elements.dofs] - coarse.potential[coarse.elements.dofs] @ raised.T
    change = change - change.mean(axis=1, keepdims=True)
    return np.asarray(np.einsum("ti,tij,tj->t", change, fine.elements.stiffness_blocks, change, optimize=True))
