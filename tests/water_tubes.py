"""Round tubes for water."""

import math

from crosscurrent.solver.water.pipe import Passage

LITRE = 1e-3 / 60  # l/min [m3/s]


def tube(diameter: float, length: float, loss: float, *, bends: int = 0, roughness: float = 0.0) -> Passage:
    name = f"tube {diameter * 1e3:g} mm"
    return Passage(name, math.pi * diameter**2 / 4, math.pi * diameter, length, loss, bends=bends, roughness=roughness)
