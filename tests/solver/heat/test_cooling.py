"""View factors and radiation between faces against closed forms: H. C. Hottel's crossed strings (Hottel and Sarofim,
Radiative Transfer, 1967; also Incropera and DeWitt, table 13.1, from memory).
"""

import math

import numpy as np
import pytest

from crosscurrent.geometries.mesher import mesh_section
from crosscurrent.geometries.section import Part, Section
from crosscurrent.geometries.shapes import angle, bar, round_bar, tube
from crosscurrent.solver.cooling import Cooling, Exchange, Finish
from crosscurrent.solver.panels import panels_of

COARSE = 0.02


def panels(*parts, skin=COARSE):
    section = Section(tuple(parts))
    return panels_of(mesh_section(section, [[skin]] * len(parts)), section.parts)


def share(found, of, at):
    return found.sight.areas[np.ix_(of, at)].sum() / found.length[of].sum()


@pytest.mark.parametrize("gap", [0.005, 0.02, 0.1])
def test_parallel_strips(gap):
    width, half = 0.1, 0.003
    found = panels(
        Part("below", bar(width, 2 * half).placed((0, -half - gap / 2), 0)),
        Part("above", bar(width, 2 * half).placed((0, half + gap / 2), 0)),
    )
    of = (found.part == 0) & (found.normal[:, 1] > 0.9)
    at = (found.part == 1) & (found.normal[:, 1] < -0.9)
    ratio = gap / width
    assert share(found, of, at) == pytest.approx(math.sqrt(1 + ratio**2) - ratio, rel=1e-4)
    # whatever the lower face does not see of the upper one is the room
    assert found.sight.room[of].sum() == pytest.approx(width * (1 + ratio - math.sqrt(1 + ratio**2)), rel=1e-3)


def test_strips_at_a_right_angle_with_a_common_edge():
    found = panels(Part("it", angle(0.06, 0.04, 0.005)))
    inner = [k for k in range(len(found)) if found.sight.areas[k].sum() > 0]
    flat = np.array([k for k in inner if found.normal[k, 1] > 0.9])
    upright = np.array([k for k in inner if found.normal[k, 0] > 0.9])
    ratio = 0.035 / 0.055
    assert share(found, flat, upright) == pytest.approx((1 + ratio - math.sqrt(1 + ratio**2)) / 2, rel=2e-3)


def test_parallel_rods():
    """A rod is seen as the polygon of its pieces."""
    diameter, pitch = 0.02, 0.03
    found = panels(
        Part("a", round_bar(diameter)), Part("b", round_bar(diameter).placed((pitch, 0), 0)), skin=diameter / 40
    )
    x = pitch / diameter
    exact = (math.asin(1 / x) + math.sqrt(x * x - 1) - x) / math.pi
    assert share(found, found.part == 0, found.part == 1) == pytest.approx(exact, rel=2e-2)


def test_something_between_two_bars_hides_them():
    def sight(*more):
        found = panels(
            Part("a", bar(0.01, 0.05).placed((-0.05, 0), 0)), Part("b", bar(0.01, 0.05).placed((0.05, 0), 0)), *more
        )
        return found.sight.areas[np.ix_(found.part == 0, found.part == 1)].sum()

    assert sight() > 0.01
    assert sight(Part("screen", bar(0.002, 0.2))) == 0


def test_a_closed_bore_sees_no_room_and_is_left_out_when_empty():
    alone = panels(Part("tube", tube(0.05, 0.005)))
    assert len(np.unique(alone.wall)) == 1
    found = panels(Part("tube", tube(0.05, 0.005)), Part("rod", round_bar(0.02)))
    bore = (found.part == 0) & (found.sight.room == 0)
    assert bore.any()
    assert (found.sight.room[found.part == 1] == 0).all()
    assert found.sight.areas.sum(axis=1)[found.part == 1] == pytest.approx(found.length[found.part == 1], rel=5e-3)


def finished(**emissivities):
    """Conductors by name with an emissivity each."""
    return Cooling(20.0, others=tuple((name, Finish("stated", *(3 * (e,)), "")) for name, e in emissivities.items()))


@pytest.mark.parametrize(("inner", "outer"), [(0.1, 0.1), (0.7, 0.7), (0.9, 0.2), (0.1, 0.9)])
def test_grey_concentric_cylinders(inner, outer):
    """Incropera and DeWitt, equation 13.20: q = s A1 (T1^4 - T2^4) / (1/e1 + (1 - e2)/e2 r1/r2)."""
    parts = (Part("tube", tube(0.05, 0.005)), Part("rod", round_bar(0.02)))
    found = panels(*parts, skin=1e-3)
    between, room = Exchange(found, parts, finished(rod=inner, tube=outer)).radiating
    exact = math.pi * 0.02 / (1 / inner + (1 - outer) / outer * 0.02 / 0.04)
    assert between[np.ix_(found.part == 1, found.part == 0)].sum() == pytest.approx(exact, rel=3e-3)
    assert room[found.part == 1] == pytest.approx(0.0, abs=1e-12)


def test_grey_parallel_plates():
    """Incropera and DeWitt, equation 13.19: two large plates, 1 / (1/e1 + 1/e2 - 1) of what black ones exchange."""
    width, gap, half, one, other = 0.2, 0.0005, 0.003, 0.3, 0.9
    parts = (
        Part("below", bar(width, 2 * half).placed((0, -half - gap / 2), 0)),
        Part("above", bar(width, 2 * half).placed((0, half + gap / 2), 0)),
    )
    found = panels(*parts)
    between, _ = Exchange(found, parts, finished(below=one, above=other)).radiating
    exact = width / (1 / one + 1 / other - 1)
    assert between[np.ix_(found.part == 0, found.part == 1)].sum() == pytest.approx(exact, rel=5e-3)


def test_exchange_takes_from_one_what_it_gives_to_another():
    parts = tuple(Part(f"b{k}", bar(0.01, 0.08).placed((0.02 * k, 0), 0.1 * k)) for k in range(3))
    found = panels(*parts)
    exchange = Exchange(found, parts, Cooling(20.0))
    piece = np.linspace(40.0, 90.0, len(found))
    links = exchange.links(piece, exchange.coefficients(np.full(3, 60.0)))
    assert links.between == pytest.approx(links.between.T, abs=0)
    losses = links.losses(piece - 20.0)
    assert losses.exchange.sum() == pytest.approx(0.0, abs=1e-12 * np.abs(losses.exchange).sum())
