"""A cooling with coefficients given, for exact solutions."""

from dataclasses import dataclass

import numpy as np

from crosscurrent.geometries.plane.part import Part
from crosscurrent.solver.field.problem import Circuit, Conductor, Problem
from crosscurrent.solver.field.solution import Solution
from crosscurrent.solver.field.solve import solve
from crosscurrent.solver.heat.balance import Balance, Sources, steady
from crosscurrent.solver.heat.conduction import Conduction
from crosscurrent.solver.heat.cooling import Cooling, Exchange, Finish
from crosscurrent.solver.heat.electrothermal import conduction_in
from crosscurrent.solver.heat.view_factors import panels_of

AIR = 20.0
BLANK = Finish("none", 0.0, 0.0, 0.0, "")


@dataclass(frozen=True, eq=False)
class FixedFilm(Exchange):
    """No radiation; `film` maps outward normals (n, 2) to coefficients (n,)."""

    film: object = None

    def coefficients(self, surface):
        return self.film(self.panels.normal)


def solved(shape, metals, *, coats=(), current=1000.0, frequency=0.0) -> Solution:
    base, *outer = metals
    conductor = Conductor(Part("it", shape, coats), base, coats=tuple(outer))
    problem = Problem((conductor,), (Circuit("feed", current, ("it",)),))
    return solve(problem, frequency, accuracy=1e-3 if frequency else 1e-7)


def balanced(solution: Solution, film) -> Balance:
    elements = solution.fine.discretisation.elements
    conductors = solution.problem.conductors
    parts = tuple(c.part for c in conductors)
    panels = panels_of(elements.mesh, parts)
    conduction = Conduction(elements, panels, np.array([m.conduction for c in conductors for m in c.metals]))
    sources = Sources(
        conductors, conduction.load(solution.fine), np.ones(len(conductors)), np.zeros(len(conductors), bool)
    )
    return steady(conduction, FixedFilm(panels, parts, Cooling(AIR, BLANK), film), sources)


def at(balance: Balance, inside) -> tuple[np.ndarray, np.ndarray]:
    """Temperatures and places of all nodes of the elements for which `inside(x, y)` of the place holds."""
    from crosscurrent.geometries.meshing.lattice import lattice

    e = balance.conduction.elements
    place = e.positions(e.metal, lattice(e.order)[:, 1:] / e.order).reshape(-1, 2)
    value = balance.field[e.dofs[e.metal]].ravel()
    on = inside(place[:, 0], place[:, 1])
    return value[on], place[on]


def ring(shape, metal, *, current=1000.0) -> Solution:
    """A turn round the axis with direct current, solved far beyond what is looked at."""
    problem = Problem((Conductor(Part("it", shape), metal),), (Circuit("feed", current, ("it",)),), axial=True)
    return solve(problem, 0.0, accuracy=1e-7)


def balanced_round(solution: Solution, film, load=None) -> Balance:
    """The same round an axis; `load` in place of the solution's, (unknowns, conductors) [W]."""
    conduction, conductors = conduction_in(solution), solution.problem.conductors
    load = conduction.load(solution.fine) if load is None else load(conduction)
    sources = Sources(conductors, load, np.zeros(len(conductors)), np.zeros(len(conductors), bool))
    exchange = FixedFilm(conduction.panels, solution.problem.outlines, Cooling(AIR, BLANK), film)
    return steady(conduction, exchange, sources)
