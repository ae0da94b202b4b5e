"""Shorted circuits in time: a shorted turn is a closed ring, and two loops without eddies are two coupled circuits."""

from __future__ import annotations

import math
from types import SimpleNamespace

import numpy as np
import pytest
from common import rod

from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.shapes import round_bar
from crosscurrent.solver.band.foster import FosterForm
from crosscurrent.solver.band.sweep import Sweep, sweep
from crosscurrent.solver.field.problem import Circuit, Conductor, Problem
from crosscurrent.solver.metals.materials import MATERIALS
from crosscurrent.solver.metals.strands import Lay, Strands
from crosscurrent.solver.time.excitation import half_sine, offset, step
from crosscurrent.solver.time.history import fault_history
from crosscurrent.solver.time.induced import with_induced
from crosscurrent.solver.time.transient import Transient

BAND = [10.0, 300.0, 1e4]


def loops(*circuits: Circuit, closed: bool) -> Sweep:
    turns = rod("one", 0.004, 0.05, material=MATERIALS["copper"]), rod("two", 0.004, 0.05, 0.02)
    if closed:
        turns = turns[0], type(turns[1])(turns[1].part, turns[1].material, closed=True)
    return sweep(Problem(turns, circuits, axial=True), BAND)


@pytest.fixture(scope="module")
def shorted() -> Sweep:
    return loops(Circuit("coil", 1.0, ("one",)), Circuit("loop", 0.0, ("two",), shorted=True), closed=False)


@pytest.fixture(scope="module")
def ring() -> Sweep:
    return loops(Circuit("coil", 1.0, ("one",)), closed=True)


@pytest.mark.parametrize("wave", [offset(1000.0, 50.0, 0.045, 0.06), half_sine(500.0, 400.0, 0.01)])
def test_a_shorted_turn_is_a_closed_ring_in_time(shorted: Sweep, ring: Sweep, wave) -> None:  # type: ignore[no-untyped-def]
    """The ring has no terminals at all: its reduced model knows nothing of circuits."""
    one, other = (fault_history(each, "coil", wave) for each in (shorted, ring))
    assert one.energy[-1] == pytest.approx(other.energy[-1], rel=1e-9)
    here = one.transient.at(other.times)
    assert here.currents == pytest.approx(other.currents, abs=1e-6 * np.abs(other.currents).max())
    assert here.force == pytest.approx(other.force, abs=1e-8 * np.abs(other.force).max())
    stored = other.transient.at(other.times).stored
    assert here.stored == pytest.approx(stored, abs=1e-8 * stored.max())
    assert np.abs(here.voltages[:, 1]).max() < 1e-9 * np.abs(here.voltages[:, 0]).max()


def test_without_eddies_a_step_decays_with_l_over_r() -> None:
    """i2 = -(M / L2) I exp(-R2 t / L2): the flux through a closed circuit stays, circuit theory."""
    inductance, resistance = np.array([[2e-6, 6e-7], [6e-7, 1e-6]]), 1e-3
    foster = FosterForm(np.eye(2), np.array([1e4, 1 / resistance]), inductance, np.zeros(0), np.zeros((0, 2)))
    circuits = Circuit("one", 1.0, ("a",)), Circuit("two", 0.0, ("b",), shorted=True)
    found = SimpleNamespace(
        problem=SimpleNamespace(circuits=circuits), fine=SimpleNamespace(model=SimpleNamespace(foster=foster))
    )
    times = np.linspace(0.0, 3e-3, 7)
    for rate in (0.0, -resistance / 1e-6):  # a step, and a decay that meets the circuit's own
        wave = step(100.0, 3e-3)
        wave = type(wave)((type(wave.terms[0])(100.0, rate),), 3e-3)
        _, induced = with_induced(found, [wave, None], {})  # type: ignore[arg-type]
        assert induced is not None
        decay = np.exp(-resistance * times / 1e-6)
        # x' + a x = -(M / L2) (100 exp(rate t))', jump included; at rate = -a it gains a t times as much
        grown = decay if rate == 0.0 else decay * (1 + rate * times)
        assert induced.current(times) == pytest.approx(-60.0 * grown, abs=1e-5)


def test_nothing_is_added_where_nothing_is_shorted(ring: Sweep) -> None:
    wave = step(1.0, 1e-3)
    assert with_induced(ring, [wave], {}) == (wave,)


@pytest.mark.parametrize("lay", ["transposed", "concentric"])
def test_strands_in_a_shorted_coil_answer_in_time(lay: Lay) -> None:
    """Once all has decayed they carry the current of the solve at the frequency alone; never is there a voltage."""
    copper = MATERIALS["copper"]
    strands = Conductor(
        Part("two", round_bar(2.8e-3).placed((0.05, 0.01))), copper, strands=Strands(400, 1e-4, lay=lay)
    )
    circuits = Circuit("coil", 1.0, ("one",)), Circuit("loop", 0.0, ("two",), shorted=True)
    band = sweep(Problem((rod("one", 0.004, 0.05, material=copper), strands), circuits, axial=True), [10.0, 1e3, 1e5])
    wave, times = offset(1000.0, 1e4, 1e-4, 2e-3), np.linspace(1e-5, 2e-3, 40)
    given = Transient(band, (wave, None))
    _, induced = with_induced(band, given.excitations, given.excess)
    assert induced is not None
    assert max(term.rate.real for term in induced.terms) <= 0
    voltages = Transient(band, (wave, induced)).at(times).voltages
    assert np.abs(voltages[:, 1]).max() < 1e-8 * np.abs(voltages[:, 0]).max()
    (steady,) = (term for term in induced.terms if term.rate == wave.terms[0].rate)
    loop = band.at([1e4]).fine.currents[0, 1]
    assert steady.amplitude / wave.terms[0].amplitude == pytest.approx(loop, rel=1e-9)
    assert induced.period == pytest.approx(1e-4)


def test_the_voltage_of_the_coil_is_that_of_one_beside_a_ring(shorted: Sweep, ring: Sweep) -> None:
    wave = offset(1000.0, 50.0, 0.045, 0.04)
    times = np.linspace(0.0, 0.04, 50)
    one, other = (fault_history(each, "coil", wave).transient.at(times).voltages[:, 0] for each in (shorted, ring))
    assert one == pytest.approx(other, abs=1e-5 * float(np.abs(other).max()))
    assert math.isfinite(float(np.abs(one).max()))
