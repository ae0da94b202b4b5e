"""What roughness adds to a run with other coats than stated, against the layered model."""

from __future__ import annotations

import numpy as np
import pytest
from meter_benches import any_reading, case_of

from crosscurrent.solver.metals.layers import Layer, flat_surface
from crosscurrent.solver.metals.roughness import layered_roughening
from crosscurrent.solver.meter.rough_surfaces import GroupSurface, carried
from crosscurrent.solver.meter.section_causes import RoughSurface
from crosscurrent.topics.measured_causes import run_of

SILVERED = 3


def test_what_roughness_adds_goes_with_the_coat_that_is_there():
    """Of two wide strips, whose impedance is that of a flat wall: the layered model itself."""
    run, f = run_of(case_of("silvered", 1.0), any_reading(SILVERED)), np.geomspace(1e4, 2e6, 5)
    stated, there = (p.conductors[0] for p in (run.problem, run.varied({"silver-coat": 8e-6})))
    walls = [[Layer(c.material), Layer(c.coats[0], c.part.coats[0])] for c in (stated, there)]
    before, after = (flat_surface(wall, f).impedance for wall in walls)
    one = GroupSurface(stated, RoughSurface(3 * before, lambda rq: np.ones(5)), 0 * f)
    moved = carried(one, there, f, after.real / before.real)
    rq = 1.2e-5
    rough = layered_roughening(walls[1], f, rq)
    exact = 3 * (rough.resistance * after.real + 1j * rough.reactance * after.imag - after)
    assert moved.surface.weight * (moved.surface.factor(rq) - 1) == pytest.approx(exact, rel=1e-3)
