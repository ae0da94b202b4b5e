"""A scikit-fem user can integrate on the curved triangles."""

import math

import numpy as np
import skfem
from scipy.spatial import cKDTree
from skfem.helpers import dot, grad

from crosscurrent.geometries.meshing.lattice import lattice
from crosscurrent.geometries.meshing.mesher import mesh_section
from crosscurrent.geometries.meshing.options import MeshOptions
from crosscurrent.geometries.meshing.skfem_mapping import CurvedMapping
from crosscurrent.geometries.plane import shapes
from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.section import Section
from crosscurrent.solver.elements.operators import Elements


def disc():
    return mesh_section(Section((Part("rod", shapes.round_bar(2.0)),)), [[0.2]], MeshOptions().finer(2))


class FinelySummed(Elements):
    """Elements with a quadrature far finer than the solver needs."""

    _degree = 24


def test_second_moment_of_a_disc():
    mesh = disc()
    basis = skfem.Basis(mesh.to_skfem(), skfem.ElementTriP4(), CurvedMapping(mesh), elements="0.0", intorder=14)
    area = skfem.Functional(lambda w: 1 + 0 * w.x[0]).assemble(basis)
    moment = skfem.Functional(lambda w: w.x[0] ** 2 + w.x[1] ** 2).assemble(basis)
    assert abs(area / math.pi - 1) < 1e-9
    assert abs(moment / (math.pi / 2) - 1) < 1e-9


def test_same_matrices_as_the_operators():
    mesh = disc()
    elements = FinelySummed(mesh, 4)
    ours = np.empty((elements.count, 2))
    every = np.arange(len(mesh.triangles))
    ours[elements.dofs] = elements.positions(every, lattice(4)[:, 1:] / 4)
    basis = skfem.Basis(mesh.to_skfem(), skfem.ElementTriP4(), CurvedMapping(mesh), intorder=19)
    apart, match = cKDTree(basis.doflocs.T).query(ours)
    assert apart.max() < 1e-12
    assert len(np.unique(match)) == elements.count

    laplace = skfem.BilinearForm(lambda u, v, w: dot(grad(u), grad(v))).assemble(basis)
    stiffness = elements.assemble(elements.stiffness_blocks)
    assert abs(laplace[match][:, match] - stiffness).max() < 1e-9 * abs(stiffness).max()

    product = skfem.BilinearForm(lambda u, v, w: u * v).assemble(basis.with_elements("0.0"))
    mass = elements.assemble(elements.mass_blocks, elements.metal)
    assert abs(product[match][:, match] - mass).max() < 1e-9 * abs(mass).max()
