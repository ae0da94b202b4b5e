"""Capacitance against closed forms: wires, coaxial and eccentric tubes, strips, bars (conformal mapping)."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import pytest
from scipy.optimize import fsolve
from scipy.special import ellipk, ellipkm1

from crosscurrent.geometries.meshing.mesher import mesh_section
from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.section import Section
from crosscurrent.geometries.plane.shapes import bar, round_bar, tube
from crosscurrent.solver.field.electrostatic import VACUUM, Capacitance, capacitance, section_capacitance

Groups = tuple[Sequence[int], Sequence[int]]


def found(*parts: Part, skin: float = 1e-3, groups: Groups = ((0,), (1,))) -> Capacitance:
    return capacitance(mesh_section(Section(parts), [[skin]] * len(parts)), *groups, accuracy=1e-5)


def agrees(result: Capacitance, exact: float) -> None:
    """To 1e-5, and no further away than the bar says."""
    off = abs(result.value / exact - 1)
    assert off < 1e-5
    assert off <= result.error


def wire(name: str, x: float, y: float = 0.0, diameter: float = 0.010) -> Part:
    return Part(name, round_bar(diameter).placed((x, y), 0.0))


@pytest.mark.parametrize("distance", [0.01002, 0.011, 0.030, 0.2])
def test_two_round_wires(distance: float) -> None:
    """pi eps / acosh(D / d); any textbook of electrostatics."""
    pair = found(wire("go", -distance / 2), wire("back", distance / 2))
    agrees(pair, math.pi * VACUUM / math.acosh(distance / 0.010))


@pytest.mark.parametrize("off", [0.0, 0.004, 0.0085])
def test_coaxial_and_eccentric(off: float) -> None:
    """2 pi eps / acosh((a2 + b2 - e2) / 2ab), ln(b / a) in the middle; any textbook of electrostatics."""
    a, b = 0.005, 0.014
    line = found(wire("core", off), Part("screen", tube(0.030, 0.001)))
    agrees(line, 2 * math.pi * VACUUM / math.acosh((a * a + b * b - off * off) / (2 * a * b)))


def lengths(gaps: np.ndarray) -> np.ndarray:
    """Sides of the quarter plane less a rectangle, for prevertices 0, 1, 1 + e^g0, ... (Schwarz and Christoffel)."""
    z = np.concatenate(([0.0, 1.0], 1 + np.cumsum(np.exp(gaps))))
    power = np.array([-0.5, -0.5, 0.5, 0.5, -0.5])
    x, w = np.polynomial.legendre.leggauss(120)
    angle = np.pi / 2 * (x + 1)
    sides = []
    for k in range(4):
        half = (z[k + 1] - z[k]) / 2
        near, far = half * (1 - np.cos(angle)), half * (1 + np.cos(angle))
        rest = [np.abs(z[k] + near - z[j]) ** power[j] for j in range(5) if j not in (k, k + 1)]
        whole = np.prod(rest, axis=0) * near ** power[k] * far ** power[k + 1] * half * np.sin(angle)
        sides.append(np.pi / 2 * (w * whole).sum())
    return np.array(sides)


def two_bars(near: float, far: float, half: float) -> float:
    """Capacitance [F/m] of bars from x = near to far, and mirrored, both from y = -half to half."""
    wanted = np.log(np.array([half, far - near, half]) / near)
    for guess in ([-1.0, 1.0, -1.0], [0.0, 0.0, 0.0], [-3.0, 2.0, -3.0], [2.0, 2.0, 2.0]):
        with np.errstate(all="ignore"):
            gaps, info, good, _ = fsolve(lambda g: np.log(lengths(g)[1:] / lengths(g)[0]) - wanted, guess,
                                         xtol=1e-13, full_output=True)  # fmt: skip
        if good == 1 and np.abs(info["fvec"]).max() < 1e-11:
            modulus = 1 / (1 + np.exp(gaps).sum())
            return float(VACUUM * ellipkm1(modulus) / ellipk(modulus))
    raise AssertionError("no prevertices found")


def strips(near: float, far: float) -> float:
    """Coplanar strips of no thickness: eps K(k') / K(k), k = near / far; any textbook of conformal mapping."""
    k = (near / far) ** 2
    return float(VACUUM * ellipkm1(k) / ellipk(k))


def test_the_reference_of_bars_tends_to_strips() -> None:
    assert two_bars(5e-3, 55e-3, 1e-6) == pytest.approx(strips(5e-3, 55e-3), rel=4e-4)


@pytest.mark.parametrize("sizes", [(5e-3, 55e-3, 3e-3), (2.5e-3, 8.5e-3, 5e-3), (5e-3, 15e-3, 5e-3)])
def test_bars_edge_to_edge_and_face_to_face(sizes: tuple[float, float, float]) -> None:
    near, far, half = sizes
    middle, shape = (near + far) / 2, bar(far - near, 2 * half)
    parts = [Part(name, shape.placed((x, 0.0), 0.0)) for name, x in (("go", -middle), ("back", middle))]
    agrees(found(*parts, skin=0.015 * min(far - near, half)), two_bars(near, far, half))


def test_coplanar_strips() -> None:
    """Three thicknesses, followed to none along t and t ln t."""
    near, far, values, thicknesses = 5e-3, 55e-3, [], (4e-5, 2e-5, 1e-5)
    for t in thicknesses:
        parts = [Part(str(x), bar(far - near, t).placed((x, 0.0), 0.0)) for x in (-0.03, 0.03)]
        values.append(found(*parts, skin=t / 10).value)
    rows = [[1.0, t, t * math.log(t)] for t in thicknesses]
    assert np.linalg.solve(rows, values)[0] == pytest.approx(strips(near, far), rel=1e-5)


def test_third_wire_without_charge() -> None:
    """Three wires on an equal triangle with partial capacitances K: one against two 2 K, one against one 3/2 K."""
    wires = [wire(str(k), 0.01 * math.cos(2 * math.pi * k / 3), 0.01 * math.sin(2 * math.pi * k / 3)) for k in range(3)]
    against_two, against_one = found(*wires, groups=((0,), (1, 2))), found(*wires, groups=((0,), (1,)))
    assert against_two.value / against_one.value == pytest.approx(4 / 3, rel=1e-5)


def test_potential_is_one_volt_between_them_and_gives_the_energy() -> None:
    pair = found(wire("go", -0.01), wire("back", 0.01))
    mesh, e = pair.elements.mesh, pair.elements
    on = [pair.potential[e.dofs[mesh.region == k]] for k in (0, 1)]
    assert np.ptp(on[0]) == pytest.approx(0, abs=1e-12)
    assert on[0].flat[0] - on[1].flat[0] == pytest.approx(1)


def test_a_section_on_a_mesh_of_its_own() -> None:
    """Two wires: pi eps / acosh(D / d), whatever was solved before."""
    section = Section((wire("go", -0.01), wire("back", 0.01)))
    exact = math.pi * VACUUM / math.acosh(0.020 / 0.010)
    for accuracy in (1e-3, 1e-5):
        assert section_capacitance(section, (0,), (1,), accuracy).value == pytest.approx(exact, rel=accuracy)
