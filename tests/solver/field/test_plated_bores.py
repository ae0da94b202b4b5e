"""Plating inside a bore: a silvered tube around its return wire, against the field equations solved by hand."""

from __future__ import annotations

import math

import mpmath as mp
import pytest

from crosscurrent.geometries.errors import GeometryError
from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.section import Section
from crosscurrent.geometries.plane.shapes import bar, box, round_bar, tube
from crosscurrent.postprocess.answers.answers import answers
from crosscurrent.solver.field.problem import Circuit, Conductor, Problem
from crosscurrent.solver.field.solve import solve
from crosscurrent.solver.metals.materials import MATERIALS

MU0 = 4e-7 * math.pi
BRASS, SILVER, COPPER = MATERIALS["brass"], MATERIALS["silver"], MATERIALS["copper"]


def resistance_of_lined_tube(b: float, coat: float, a: float, frequency: float) -> float:
    """Brass tube of outer radius a lined with silver from b - coat to b, return inside, per metre [ohm/m].

    H = c I1(p r) + d K1(p r) in each metal (Bessel's equation); H = 1 / (2 pi r) at the lining, 0 outside; H and
    E = (p / sigma)(c I0 - d K0) continuous between them. Four equations, solved with 60 digits, each
    unknown counted in units of its function at one edge: that keeps the columns alike.
    """
    mp.mp.dps = 60
    w, inner = 2 * mp.pi * frequency, b - coat
    p = [mp.sqrt(1j * w * MU0 * m.conductivity) for m in (SILVER, BRASS)]
    s = [m.conductivity for m in (SILVER, BRASS)]
    i, k = mp.besseli, mp.besselk
    system = mp.matrix(4, 4)
    system[0, 0], system[0, 1] = i(1, p[0] * inner), k(1, p[0] * inner)
    system[1, 0], system[1, 1], system[1, 2], system[1, 3] = (
        i(1, p[0] * b), k(1, p[0] * b), -i(1, p[1] * b), -k(1, p[1] * b),
    )  # fmt: skip
    system[2, 0], system[2, 1] = p[0] / s[0] * i(0, p[0] * b), -p[0] / s[0] * k(0, p[0] * b)
    system[2, 2], system[2, 3] = -p[1] / s[1] * i(0, p[1] * b), p[1] / s[1] * k(0, p[1] * b)
    system[3, 2], system[3, 3] = i(1, p[1] * a), k(1, p[1] * a)
    units = [abs(system[1, 0]), abs(system[1, 1]), abs(system[3, 2]), abs(system[3, 3])]
    for column, unit in enumerate(units):
        for row in range(4):
            system[row, column] /= unit
    c = mp.lu_solve(system, mp.matrix([1 / (2 * mp.pi * inner), 0, 0, 0]))
    c = [value / unit for value, unit in zip(c, units, strict=True)]
    along = p[0] / s[0] * (c[0] * i(0, p[0] * inner) - c[1] * k(0, p[0] * inner))
    return float(abs(along.real))


@pytest.mark.parametrize("frequency", [1e3, 100e3, 1e6])
def test_lined_tube_against_bessel(frequency: float) -> None:
    lined = Part("tube", tube(0.010, 0.001), bore_coats=(30e-6,))
    pair = (
        Conductor(Part("wire", round_bar(0.002)), COPPER),
        Conductor(lined, BRASS, bore_coats=(SILVER,)),
    )
    found = answers(solve(Problem(pair, (Circuit("line", 1.0, ("wire",), ("tube",)),)), frequency, accuracy=1e-5))
    exact = resistance_of_lined_tube(0.004, 30e-6, 0.005, frequency)
    assert found.conductors["tube"].loss == pytest.approx(exact, rel=1e-6)
    shares = [layer.current_share for layer in found.conductors["tube"].layers.values()]
    assert sum(s for s in shares if s is not None) == pytest.approx(1, abs=1e-9)


def test_direct_current_share_follows_the_conductances() -> None:
    lined = Conductor(Part("box", box(0.02, 0.012, 0.002), bore_coats=(0.1e-3,)), BRASS, bore_coats=(SILVER,))
    found = answers(solve(Problem((lined,), (Circuit("feed", 1.0, ("box",)),)), 0.0)).conductors["box"]
    # the lining is 0.1 mm on all sides of a 16 x 8 mm bore with square corners, mitred
    silver = (16e-3 * 8e-3 - 15.8e-3 * 7.8e-3) * SILVER.conductivity
    brass = (20e-3 * 12e-3 - 16e-3 * 8e-3) * BRASS.conductivity
    assert found.layers["silver"].current_share == pytest.approx(silver / (silver + brass), rel=1e-9)
    assert found.dc_resistance == pytest.approx(1 / (silver + brass), rel=1e-9)


@pytest.mark.parametrize(
    ("part", "message"),
    [
        (Part("strap", bar(0.02, 0.003), bore_coats=(10e-6,)), "has no bore for its plating inside"),
        (Part("pipe", tube(0.02, 0.001), bore_coats=(0.6e-3,)), "is thicker than half of the wall of 1 mm"),
        (Part("pipe", tube(0.02, 0.0095), bore_coats=(0.6e-3,)), "does not fit into a bore 1 mm wide"),
    ],
)
def test_faults_name_the_part(part: Part, message: str) -> None:
    with pytest.raises(GeometryError, match=message) as caught:
        Section((part,))
    assert f'"{part.name}"' in str(caught.value)
