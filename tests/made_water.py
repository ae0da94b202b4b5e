"""Water through a bar, without a field: the heat of every bore is given."""

from __future__ import annotations

import math
from types import SimpleNamespace
from typing import Any

from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.shapes import tube
from crosscurrent.postprocess.topics.water import WaterAnswer
from crosscurrent.solver.field.problem import Conductor
from crosscurrent.solver.metals.materials import MATERIALS
from crosscurrent.solver.water.circuit import WaterCircuit
from crosscurrent.solver.water.pipe import Passage


def answer(
    flow: float = 1e-4, loss: float = 1000.0, *, name: str = "bar", metal: str = "copper", bore: float = 8e-3,
    **more: Any,
) -> WaterAnswer:  # fmt: skip
    """A round bore [m], 3 m long, that takes a loss [W/m] into a flow [m3/s] from 20 degC on; a bar of 5 K above."""
    passage = Passage(name, math.pi * bore**2 / 4, math.pi * bore, 3.0, loss)
    circuit = WaterCircuit((passage,), 20.0)
    stream = circuit.at(flow)
    bar = Conductor(Part(name, tube(bore + 4e-3, 2e-3)), MATERIALS[metal], temperature=stream.branches[0].metal)
    water = SimpleNamespace(
        circuit=circuit, stream=stream, loss_error=0.01, to_air=None, conductors=(bar,), wall_error=lambda branch: 5.0,
        spread=50.0, is_close_to_boiling=min(branch.margin for branch in stream.branches) < 10.0,
    )  # fmt: skip
    given: dict[str, Any] = {"gauge": 1e5, "limits": {}, "needed": {}, "to_not_boil": None} | more
    return WaterAnswer(name, water, 50.0, **given)  # type: ignore[arg-type]
