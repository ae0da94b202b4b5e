"""The numbers of one frequency: direct current by hand, what is none, names of metals that come twice."""

from __future__ import annotations

import math

import pytest
from made_answers import conductor, point

from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.shapes import round_bar
from crosscurrent.postprocess.answers.answers import Answers, LayerAnswer, _layer_name, answers
from crosscurrent.postprocess.answers.tables import density_table
from crosscurrent.solver.field.problem import Circuit, Conductor, Problem
from crosscurrent.solver.field.solve import solve
from crosscurrent.solver.metals.materials import MATERIALS

ONE_OHM = 1 / (MATERIALS["copper"].conductivity_at(20.0) * math.pi * 25e-6)  # of a rod of 10 mm [ohm/m]


@pytest.fixture(scope="module")
def found() -> Answers:
    """Two rods of 10 mm in parallel carry 10 A out, a rough third one brings 4 A back; a circuit without current."""
    rods = [
        Conductor(Part(f"rod{k}", round_bar(0.01).placed((0.03 * k, 0.0))), MATERIALS["copper"], roughness=rq)
        for k, rq in enumerate((0.0, 0.0, 1e-6))
    ]
    circuits = (Circuit("out", 10.0, ("rod0", "rod1")), Circuit("back", -4.0, ("rod2",)))
    return answers(solve(Problem(tuple(rods), circuits), 0.0, accuracy=0.05))


def test_direct_current_by_hand(found: Answers) -> None:
    out, back = found.circuits["out"], found.circuits["back"]
    assert out.resistance == pytest.approx(ONE_OHM / 2, rel=1e-6)
    assert out.dc_resistance == pytest.approx(ONE_OHM / 2, rel=1e-6)
    assert back.loss == pytest.approx(16 * ONE_OHM, rel=1e-6)
    assert found.total_loss == pytest.approx((2 * 25 + 16) * ONE_OHM, rel=1e-6)
    assert found.power_balance < 1e-9
    for rod in found.conductors.values():
        assert rod.skin_depth is None
        assert rod.roughness is None  # at 0 Hz
        assert rod.loss_ratio == pytest.approx(1.0, rel=1e-6)
        assert rod.peak_current_density == pytest.approx(rod.mean_current_density, rel=1e-5)
        assert sum(f.loss_share for f in rod.faces) == pytest.approx(1.0)


def test_what_does_not_return_is_noticed(found: Answers) -> None:
    assert found.returns_outside
    assert not point().returns_outside
    assert point(conductors=(conductor("a"), conductor("b", current=-9.9 + 0j))).returns_outside


def test_a_circuit_without_current_has_no_impedance() -> None:
    rod = Conductor(Part("rod", round_bar(0.01)), MATERIALS["copper"])
    idle = answers(solve(Problem((rod,), (Circuit("idle", 0.0, ("rod",)),)), 0.0, accuracy=0.05)).circuits["idle"]
    assert (idle.resistance, idle.inductance, idle.resistance_ratio, idle.loss) == (None, None, None, 0.0)
    assert idle.dc_resistance == pytest.approx(ONE_OHM, rel=1e-6)


def test_a_metal_that_comes_again_gets_a_number() -> None:
    layers: dict[str, LayerAnswer] = {}
    for metal in ("copper", "nickel", "copper", "copper"):
        layers[_layer_name(metal, layers)] = LayerAnswer(None, 0.0)
    assert list(layers) == ["copper", "nickel", "copper.2", "copper.3"]


def test_the_largest_density_is_rms_and_its_crest_stands_beside_it(found: Answers) -> None:
    """A sine's crest is sqrt 2 times its rms value; a rod filled evenly has I / A all over."""
    rod = Conductor(Part("rod", round_bar(0.01)), MATERIALS["copper"])
    slow = answers(solve(Problem((rod,), (Circuit("feed", 10.0, ("rod",)),)), 1.0, accuracy=0.05)).conductors["rod"]
    mean = 10 / (math.pi * 0.005**2)
    assert slow.peak_current_density == pytest.approx(mean, rel=1e-3)
    assert slow.crest_current_density == pytest.approx(math.sqrt(2) * mean, rel=1e-3)
    still = found.conductors["rod0"]
    assert still.crest_current_density == still.peak_current_density
    table = density_table(point())
    assert table.rows[0][3:5] == ("5", "7.071")
    assert not any("peak" in column for column in table.columns)
