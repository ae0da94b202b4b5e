"""The facing pair of bars solved by hand with a general finite-element library (ngsolve), the time to beat.

An isotropic mesh graded to the surface of the bars, refined until the answer is within the wanted error of the
converged one; only the time of the first mesh that gets there counts.
"""

from __future__ import annotations

import math
import time
from dataclasses import dataclass

MU0 = 4e-7 * math.pi


@dataclass(frozen=True)
class Trial:
    """One mesh: its size, its time and its answer."""

    unknowns: int
    seconds: float
    resistance: float  # loop [ohm/m]
    inductance: float  # loop [H/m]


def facing_bars(
    width: float, thickness: float, gap: float, radius: float, sigma: float, frequency: float, step: float, order: int
) -> Trial:
    """Mesh, assemble and solve once; `step` is the element length at the surface in skin depths."""
    import ngsolve as ng
    from netgen.geom2d import SplineGeometry

    delta = math.sqrt(1 / (math.pi * frequency * MU0 * sigma))
    begin = time.perf_counter()
    geometry = SplineGeometry()
    for number, middle in ((2, 0.5 * (gap + thickness)), (3, -0.5 * (gap + thickness))):
        _bar(geometry, width, thickness, radius, middle, number, step * delta)
    geometry.AddCircle((0, 0), 10 * width, leftdomain=1, rightdomain=0, bc="far")
    for number, name in ((1, "air"), (2, "out"), (3, "back")):
        geometry.SetMaterial(number, name)
    mesh = ng.Mesh(geometry.GenerateMesh(maxh=2 * width, grading=0.3))
    mesh.Curve(order)
    space = ng.H1(mesh, order=order, complex=True, dirichlet="far")
    a, w = space.TnT()
    omega = 2 * math.pi * frequency
    conductivity = mesh.MaterialCF({"out": sigma, "back": sigma}, default=0)
    drive = mesh.MaterialCF({"out": sigma, "back": -sigma}, default=0)
    form = ng.BilinearForm(space, symmetric=True)
    form += ng.grad(a) * ng.grad(w) * ng.dx
    form += 1j * omega * MU0 * conductivity * a * w * ng.dx(definedon=mesh.Materials("out|back"))
    load = ng.LinearForm(MU0 * drive * w * ng.dx)
    form.Assemble()
    load.Assemble()
    field = ng.GridFunction(space)
    field.vec.data = form.mat.Inverse(space.FreeDofs(), inverse="sparsecholesky") * load.vec
    current = ng.Integrate((drive - 1j * omega * conductivity * field) * ng.dx(definedon=mesh.Materials("out")), mesh)
    impedance = 2 / current
    seconds = time.perf_counter() - begin
    return Trial(space.ndof, seconds, impedance.real, impedance.imag / omega)


def _bar(geometry, width, thickness, radius, middle, number, length):  # type: ignore[no-untyped-def]
    x, y = width / 2, thickness / 2
    corners = [(-x, -y), (x, -y), (x, y), (-x, y)]
    inward = [(1, 1), (-1, 1), (-1, -1), (1, -1)]
    starts, controls, ends = [], [], []
    for k, ((cx, cy), (ix, iy)) in enumerate(zip(corners, inward, strict=True)):
        along_y, along_x = (cx, cy + iy * radius), (cx + ix * radius, cy)
        first, last = (along_y, along_x) if k % 2 == 0 else (along_x, along_y)
        for points, place in ((starts, first), (controls, (cx, cy)), (ends, last)):
            points.append(geometry.AppendPoint(place[0], place[1] + middle))
    sides = {"leftdomain": number, "rightdomain": 1, "maxh": length}
    for k in range(4):
        geometry.Append(["spline3", starts[k], controls[k], ends[k]], **sides)
        geometry.Append(["line", ends[k], starts[(k + 1) % 4]], **sides)


def until_within(error: float, resistance: float, inductance: float, frequency: float, **bars: float) -> Trial:
    """Refine until resistance and inductance are within a relative error of the converged values."""
    from netgen.libngpy._meshing import NgException

    trial = None
    for step in (4.0, 3.0, 2.5, 2.0, 1.7, 1.4, 1.2, 1.0, 0.8):
        for order in (4, 5):
            try:
                trial = facing_bars(**bars, frequency=frequency, step=step, order=order)
            except NgException:  # its mesher gives up at some sizes
                continue
            off = max(abs(trial.resistance / resistance - 1), abs(trial.inductance / inductance - 1))
            if off <= error:
                return trial
    raise RuntimeError(f"not within {error}: {trial}")
