"""Every exception of the house survives the way to another process, with its words and all that it carries."""

import copy
import importlib
import pickle
import pkgutil

import numpy as np
import pytest

import crosscurrent
from crosscurrent.casefile.bundle_sizes import SizeError
from crosscurrent.casefile.faults import CaseError, Fault
from crosscurrent.casefile.names import UnknownName
from crosscurrent.casefile.quantities import QuantityError
from crosscurrent.geometries.arrays import same
from crosscurrent.geometries.errors import CrosscurrentError, DrawingError, GeometryError, GeometryFault
from crosscurrent.geometries.meshing.collision import LayerCollision
from crosscurrent.meter_files.meter_file import MeterFileError
from crosscurrent.solver.heat.balance import NoStableTemperature
from crosscurrent.solver.metals.magnetisation_table import CurveError
from crosscurrent.solver.time.sample_table import WaveformError

WITH_DATA = {
    CaseError: CaseError([Fault(14, "width", "a length", '"6 kHz"', "write mm")], "feed.toml"),
    CurveError: CurveError("curve.csv, line 4", "two numbers, H and B", '"1;2;3"', "leave the row out"),
    MeterFileError: MeterFileError("bridge.csv, line 3", "a frequency", '"one"', "leave the row out"),
    DrawingError: DrawingError("a closed outline", "an open one", "close it", "bar.dxf"),
    GeometryError: GeometryError(GeometryFault("it crosses itself", "part its lines", (("bar", 0),)), more=2),
    LayerCollision: LayerCollision(np.array([[0.0, 1.0]])),
    NoStableTemperature: NoStableTemperature("it runs away", frozenset({"bar"})),
    SizeError: SizeError("fill", "at most 91 %", "95 %", "take fewer strands"),
    QuantityError: QuantityError("a length", '"6 kHz"', "write mm"),
    UnknownName: UnknownName("the name of a conductor", "did you mean bar?"),
    WaveformError: WaveformError("scope.csv, line 4", "two numbers", '"1;2;3"', "leave the row out"),
}


def every(kind):
    for child in kind.__subclasses__():
        yield child
        yield from every(child)


def house():
    for module in pkgutil.walk_packages(crosscurrent.__path__, "crosscurrent."):
        if not module.name.endswith("__main__"):
            importlib.import_module(module.name)
    return {kind for kind in every(Exception) if kind.__module__.startswith("crosscurrent")}


def test_every_kind_has_the_same_root_but_what_never_leaves_its_file():
    found = {kind.__name__ for kind in house() if not issubclass(kind, CrosscurrentError)}
    assert found == {"_AtTheEnd", "_Unknown", "_Unreadable"}


@pytest.mark.parametrize("way", [copy.copy, lambda error: pickle.loads(pickle.dumps(error))])
def test_every_kind_travels(way):
    for kind in house():
        before = WITH_DATA.get(kind) or kind("what was expected")
        after = way(before)
        assert type(after) is kind
        assert str(after) == str(before)
        assert same(vars(after), vars(before)), kind
        assert same(after.args, before.args)
