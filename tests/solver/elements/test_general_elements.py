"""The same bars by a plain A-v formulation written with scikit-fem's own elements on the exported mesh.

The sides are straight, so that the exported triangles are the whole geometry. The open space is a grounded circle far
outside here, the exact outer space there. P2 and P4 at a low frequency.
"""

import math

import numpy as np
import pytest
import skfem
from common import COPPER, MU0, SIGMA, bar, inductance, pair, resistance
from scipy.sparse.linalg import splu
from skfem.helpers import dot, grad

from crosscurrent.geometries.meshing.lattice import lattice
from crosscurrent.geometries.meshing.mesh import AIR
from crosscurrent.geometries.meshing.mesher import mesh_section
from crosscurrent.geometries.meshing.options import MeshOptions
from crosscurrent.solver.elements.operators import Elements
from crosscurrent.solver.field.discretisation import Discretisation, RegionMetal
from crosscurrent.solver.field.solve import solve
from crosscurrent.solver.field.unit_fields import solve_fields

MM = 1e-3
BARS = pair(bar("go", 20 * MM, 5 * MM, 0.0, 4 * MM), bar("back", 20 * MM, 5 * MM, 0.0, -4 * MM))
FREQUENCY = 300.0
ELEMENTS = {2: skfem.ElementTriP2, 4: skfem.ElementTriP4}


def exported(frequency, margin=1.15):
    skin = COPPER.skin_depth(frequency) if frequency else math.inf
    mesh = mesh_section(BARS.section, [[skin]] * 2, MeshOptions(margin=margin).finer(1))
    return mesh, mesh.to_skfem()


@skfem.BilinearForm(dtype=complex)
def stiffness(u, v, _):
    return dot(grad(u), grad(v))


@skfem.BilinearForm(dtype=complex)
def mass(u, v, _):
    return u * v


@skfem.LinearForm(dtype=complex)
def source(v, _):
    return 1.0 * v


def loop_impedance(mesh, element, frequency):
    """Z of go and return: A = 0 on the far truncation boundary, v of either bar from its net current of +-1 A."""
    omega = 2 * math.pi * frequency
    basis = skfem.Basis(mesh, element)
    metal = [basis.with_elements(f"{k}.0") for k in range(2)]
    system = stiffness.assemble(basis) + 1j * omega * MU0 * SIGMA * sum(mass.assemble(b) for b in metal)
    loads = np.column_stack([MU0 * SIGMA * source.assemble(b) for b in metal])
    free = basis.complement_dofs(basis.get_dofs("truncation"))
    response = np.zeros(loads.shape, complex)
    response[free] = splu(system[free][:, free].tocsc()).solve(loads[free])
    area = 100e-6
    admittance = np.diag([SIGMA * area] * 2) - 1j * omega * loads.T @ response / MU0
    step = np.array([1.0, -1.0])
    return step @ np.linalg.solve(admittance, step)


@pytest.mark.parametrize("order", [2, 4])
def test_pair_of_bars(order):
    """The same mesh to a far wall: what is left is the wall, (size / wall)^2, and the chords of its circle."""
    mesh, other = exported(FREQUENCY, margin=500.0)
    theirs = loop_impedance(other, ELEMENTS[order](), FREQUENCY)
    ours = solve_fields(Discretisation(mesh, (RegionMetal(SIGMA),) * 2, order), FREQUENCY, lifted=False).impedance
    loop = ours[0, 0] + ours[1, 1] - 2 * ours[0, 1]
    assert math.isclose(loop.real, theirs.real, rel_tol=1e-5)
    assert math.isclose(loop.imag, theirs.imag, rel_tol=1e-5)
    if order == 4:
        solution = solve(BARS, FREQUENCY, accuracy=1e-5)
        assert math.isclose(resistance(solution)[0], theirs.real, rel_tol=1e-5)
        # the far mesh is the coarser one for the inductance
        assert math.isclose(inductance(solution)[0], theirs.imag / (2 * math.pi * FREQUENCY), rel_tol=1e-4)


@pytest.mark.parametrize("order", [2, 4])
def test_element_matrices_of_straight_triangles(order):
    mesh, other = exported(FREQUENCY)
    own = Elements(mesh, order)
    basis = skfem.Basis(other, ELEMENTS[order]())
    inside = np.intersect1d(own.straight, np.flatnonzero(mesh.region != AIR))
    one = own.assemble(own.stiffness_blocks[inside], inside)
    part = basis.with_elements(inside)
    two = stiffness.assemble(part).real
    place = {tuple(np.round(x / MM, 9)): k for k, x in enumerate(positions(own))}
    into = np.array([place.get(tuple(np.round(x / MM, 9)), -1) for x in basis.doflocs.T])
    used = np.unique(basis.element_dofs[:, inside])
    assert (into[used] >= 0).all()
    ours, theirs = one[into[used]][:, into[used]], two[used][:, used]
    assert abs(ours - theirs).max() < 1e-12 * abs(theirs).max()


def positions(elements):
    """Where every unknown lies, (unknowns, 2)."""
    places = lattice(elements.order)[:, 1:] / elements.order
    x = np.zeros((elements.count, 2))
    x[elements.dofs] = elements.positions(np.arange(len(elements.mesh.triangles)), places)
    return x
