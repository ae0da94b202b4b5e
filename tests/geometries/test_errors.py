"""Faults travel typed: what is wrong, what to do, and whose it is; nobody parses a sentence."""

import pickle

import pytest

from crosscurrent.geometries.errors import CrosscurrentError, DrawingError, GeometryError, GeometryFault, UnknownKey
from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.section import Section
from crosscurrent.geometries.plane.shapes import bar, tube


def raised(build):
    with pytest.raises(GeometryError) as caught:
        build()
    return caught.value


def test_a_fault_names_the_parts_it_is_about():
    rail, strap = bar(0.1, 0.006), bar(0.1, 0.006).placed((0.0, 0.0055))
    (fault,) = raised(lambda: Section((Part("go; and", rail), Part("back", strap)))).faults
    assert fault.parts == (("go; and", 0), ("back", 0))
    assert fault.found.startswith('conductors "go; and" and "back" overlap by 0.5 mm')
    assert fault.hint == "move them apart or make one of them smaller"


def test_a_piece_is_named_by_its_number():
    rail = Part("rail", bar(0.04, 0.006), pieces=(bar(0.04, 0.002).placed((0.0, 0.01)),))
    far = Part("far", bar(0.01, 0.01).placed((1.0, 0.0)))
    assert ("rail", 1) in raised(lambda: Section((far, rail))).faults[0].parts


def test_a_shape_that_cannot_be_says_what_to_do():
    (fault,) = raised(lambda: tube(0.01, 0.005)).faults
    assert fault == GeometryFault(
        "a wall of 5 mm leaves no bore in a tube of 10 mm", 'use shape "round" for a solid conductor'
    )


def test_at_most_twenty_faults_are_told_and_the_rest_counted():
    crowd = [Part(f"bar {k}", bar(0.01, 0.01).placed((0.009 * k, 0.0))) for k in range(30)]
    error = raised(lambda: Section(tuple(crowd)))
    assert (len(error.faults), error.more) == (20, 9)
    assert str(error).splitlines()[-1] == "and 9 more"


@pytest.mark.parametrize(
    "error",
    [
        GeometryError(GeometryFault("one", "mend it", (("bar", 2),)), GeometryFault("two"), more=3),
        DrawingError("a file", "a folder", "name the file inside it", "section.dxf"),
        DrawingError("a file", "a folder", "name the file inside it"),
    ],
)
def test_errors_go_to_another_process_and_back(error):
    again = pickle.loads(pickle.dumps(error))
    assert (type(again), str(again), again.faults, again.more) == (type(error), str(error), error.faults, error.more)


def test_own_errors_are_also_the_builtin_ones():
    assert issubclass(GeometryError, ValueError)
    assert issubclass(UnknownKey, KeyError)
    assert str(UnknownKey("no such key")) == "no such key"
    assert issubclass(DrawingError, CrosscurrentError)
    assert str(DrawingError("a", "b", "c", "file")) == "file: expected a, found b; c"
