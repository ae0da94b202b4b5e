"""Plating that fits, and what is said where it does not."""

import pytest

from crosscurrent.geometries.plane.contacts import Look
from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.plating import coats_in_gaps, coats_on_parts
from crosscurrent.geometries.plane.shapes import bar, channel, tube


def own(*args):
    return [fault.found for fault in coats_on_parts(Look.at([Part("it", *args)]))]


def test_what_fits_is_not_complained_about():
    assert own(bar(0.1, 0.006), (1e-5, 2e-6)) == []
    assert own(tube(0.02, 0.002), (1e-5,), (1e-5,)) == []


@pytest.mark.parametrize(
    ("part", "words"),
    [
        ((bar(0.1, 0.006), (0.0,)), "without thickness"),
        ((bar(0.1, 0.006), (0.004,)), "thicker than half of the part's thickness of 6 mm"),
        ((bar(0.1, 0.006), (), (1e-5,)), "no bore"),
        ((tube(0.02, 0.002), (), (0.0015,)), "thicker than half of the wall of 2 mm"),
        ((tube(0.003, 0.001), (), (0.0006,)), "does not fit into a bore 1 mm wide"),
        ((channel(0.03, 0.03, 0.0145), (0.0006,)), "between its own sides"),
    ],
)
def test_what_does_not_fit_is_said(part, words):
    assert any(words in found for found in own(*part))


@pytest.mark.parametrize(("coats", "words"), [((6e-4, 0.0), "thicker than half"), ((5e-4, 5e-4), "leaves 0 mm")])
def test_coats_that_meet_in_a_gap(coats, words):
    pair = [
        Part(name, bar(0.1, 0.01).placed((0.0, y)), (coat,) if coat else ())
        for name, y, coat in (("low", 0.0, coats[0]), ("high", 0.011, coats[1]))
    ]
    (fault,) = coats_in_gaps(Look.at(pair))
    assert words in fault.found
    assert fault.parts == (("low", 0), ("high", 0))
