"""What conductors stand in: grey exchange against closed forms, gaps, bands."""

import math

import numpy as np
import pytest
from seen_panels import panels

from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.shapes import bar, round_bar, tube
from crosscurrent.solver.heat.convection import SCATTER, AirStream
from crosscurrent.solver.heat.cooling import FINISHES, STEFAN_BOLTZMANN, Cooling, Exchange, Finish


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


def test_a_black_rod_alone_radiates_by_its_girth():
    """sigma A (T^4 - T0^4): 60 degC in 20 degC, 279.7 W/m2."""
    part = Part("rod", round_bar(0.02))
    found = panels(part, skin=5e-4)
    exchange = Exchange(found, (part,), finished(rod=1.0))
    piece = np.full(len(found), 60.0)
    radiated = exchange.links(piece, np.zeros(len(found))).losses(piece - 20.0).radiation.sum()
    exact = STEFAN_BOLTZMANN * math.pi * 0.02 * (333.15**4 - 293.15**4)
    assert radiated == pytest.approx(exact, rel=2e-3)
    assert exact / (math.pi * 0.02) == pytest.approx(279.7, abs=0.1)


def test_a_narrow_gap_conducts_as_its_air():
    """Plates 1 mm apart lying flat: lambda w / g, but for one gap width at each mouth."""
    width, gap, half = 0.2, 0.001, 0.003
    parts = (
        Part("below", bar(width, 2 * half).placed((0, -half - gap / 2), 0)),
        Part("above", bar(width, 2 * half).placed((0, half + gap / 2), 0)),
    )
    found = panels(*parts)
    exchange = Exchange(found, parts, Cooling(20.0))
    _, across = exchange.gaps(np.full(len(found), 5.0), 26.85)
    crossed = across[np.ix_(found.part == 0, found.part == 1)].sum()
    assert crossed == pytest.approx(0.0263 * (width - 2 * gap) / gap, rel=0.02)


def test_the_band_takes_scatter_and_finish_together():
    usual = Cooling(30.0, FINISHES["oxidised"], others=(("bar", FINISHES["bright"]),))
    best, worst = usual.at_its_best(), usual.at_its_worst()
    assert (best.scale, worst.scale) == (1 + SCATTER, 1 - SCATTER)
    assert [c.emitted("rod") for c in (worst, usual, best)] == [0.60, 0.70, 0.80]
    assert [c.emitted("bar") for c in (worst, usual, best)] == [0.05, 0.10, 0.15]


def test_a_nearly_round_outline_counts_as_a_cylinder():
    parts = (Part("rod", round_bar(0.02)), Part("bar", bar(0.02, 0.01).placed((0.1, 0))))
    found = panels(*parts)
    faces = Exchange(found, parts, Cooling(20.0, stream=AirStream())).faces
    assert {face.is_round for face, part in zip(faces, found.part, strict=True) if part == 0} == {True}
    assert {face.is_round for face, part in zip(faces, found.part, strict=True) if part == 1} == {False}
    assert {face.up for face, part in zip(faces, found.part, strict=True) if part == 1} == {-1.0, 0.0, 1.0}
