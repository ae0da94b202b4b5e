"""Pictures over frequency: what is on the axes, and that hostile text and single conductors do no harm."""

from functools import cache

import numpy as np
import pytest

from crosscurrent.geometries.plane import shapes
from crosscurrent.geometries.plane.part import Part
from crosscurrent.postprocess.answers.answers import Answers, answers
from crosscurrent.postprocess.pictures.sweep import curves_figure, maps_figure
from crosscurrent.postprocess.topics.sweep import of_circuit, table
from crosscurrent.postprocess.topics.sweep_curves import SweepCurves, curves_of
from crosscurrent.solver.band.sweep import Sweep, sweep
from crosscurrent.solver.field.problem import Circuit, Conductor, Problem
from crosscurrent.solver.metals.materials import MATERIALS

NAME = "rod <&> $x_1$"


@cache
def swept(low: float, high: float) -> Sweep:
    rod = Conductor(Part(NAME, shapes.round_bar(0.005)), MATERIALS["copper"])
    return sweep(Problem((rod,), (Circuit("feed", 10.0, (NAME,)),)), [float(f) for f in np.geomspace(low, high, 12)])


def curves(low: float, high: float) -> SweepCurves:
    found = swept(low, high)
    points: list[Answers] = [answers(found.solution(k)) for k in range(len(found.frequency))]
    return curves_of(points, found.problem.circuits, found.problem.conductors)[0]


def test_a_share_is_drawn_where_conductors_share_a_current() -> None:
    """Three rods in a row in parallel: the middle one gets less; a rod alone carries all of it at any frequency."""
    rods = [Conductor(Part(n, shapes.round_bar(0.008).placed((x, 0.0))), MATERIALS["copper"])
            for n, x in (("a", -0.01), ("b", 0.0), ("c", 0.01))]  # fmt: skip
    found = sweep(Problem(tuple(rods), (Circuit("feed", 30.0, ("a", "b", "c")),)), [50.0, 500.0, 5000.0])
    (one,) = curves_of([answers(found.solution(k)) for k in range(3)], found.problem.circuits, rods)
    assert one.is_shared
    labels = [axes.get_ylabel().split(" [")[0] for axes in curves_figure(one, "t").axes]
    assert labels == ["R", "L", "loss", "|I| over the circuit's"]
    assert not curves(50.0, 1e6).is_shared


def test_panels_with_bands_and_the_corner() -> None:
    one = curves(50.0, 1e6)
    figure = curves_figure(one, "a title with $ and <&>")
    labels = [axes.get_ylabel() for axes in figure.axes]
    assert [label.split(" [")[0] for label in labels] == ["R", "L", "loss"]
    wide = [axes.get_position().width for axes in figure.axes]
    assert wide[2] > 2 * wide[0]  # the room of the share that is left out
    assert all(axes.get_xscale() == "log" for axes in figure.axes)
    assert all(axes.get_xlim() == (50.0, 1e6) for axes in figure.axes)
    resistance = figure.axes[0]
    assert len(resistance.collections) == 1  # the error band
    assert any(one.corner in np.atleast_1d(line.get_xdata()) for line in resistance.get_lines())
    figure.canvas.draw()
    assert any("skin depth in copper" in text.get_text() for text in resistance.texts)
    # sqrt(2 / (w mu sigma)) with 58 MS/m (IEC 60028) is 9.346 mm at 50 Hz, so 1 mm at 4367 Hz and 0.1 mm at 436.7 kHz
    depths = {t.get_text(): t.xy[0] for t in resistance.texts if t.xy[1] == 1 and t.xy[0] > 1}
    assert depths == {"1": pytest.approx(4367, rel=1e-3), "0.1": pytest.approx(436.7e3, rel=1e-3)}
    (rest,) = (t for t in resistance.texts if t.get_text() == "direct current")
    assert rest.get_va() == "top"
    assert resistance.get_ylim()[0] < 0.9 * rest.xy[1]  # room for it where no curve is
    # beside R its ratio to that of direct current, which has a line of its own
    ratios = {t.get_text(): t.xy[1] for t in resistance.texts if t.xy[0] == 1 and t.get_text() != "direct current"}
    (rest,) = {float(line.get_ydata()[0]) for line in resistance.get_lines() if list(line.get_xdata()) == [0, 1]}
    assert ratios["1"] == pytest.approx(rest)
    assert ratios["10"] == pytest.approx(10 * rest)


def test_words_without_a_corner() -> None:
    thin = curves(1.0, 30.0)
    assert thin.corner is None
    assert "stays filled up to 30 Hz" in of_circuit(thin)[0]
    thick = curves(1e5, 1e6)
    assert thick.corner is None
    assert "taken over below 100 kHz already" in of_circuit(thick)[0]
    for found, words in ((thin, "stays below 1.41 times"), (thick, "passes 1.41 times its direct-current value below")):
        figure = curves_figure(found, "a band")
        assert any("no corner in this band" in text.get_text() and words in text.get_text() for text in figure.texts)


def test_a_piece_beside_a_coil_is_told_with_the_skin() -> None:
    """Its loss is in R, which the skin of the turn alone would not double."""
    rod = Conductor(Part("billet", shapes.bar(0.03, 0.03)), MATERIALS["aluminium-6101"])
    turn = Conductor(Part("turn", shapes.round_bar(0.004).placed((0.02, 0.0))), MATERIALS["copper"])
    coil = (Circuit("coil", 10.0, ("turn",)),)
    found = sweep(Problem((rod, turn), coil, axial=True), [float(f) for f in np.geomspace(5e3, 5e4, 5)])
    points = [answers(found.solution(k)) for k in range(5)]
    (one,) = curves_of(points, coil, (rod, turn))
    assert "the skin and what is in no circuit have taken over below 5 kHz" in of_circuit(one)[0]
    assert not curves(50.0, 1e6).loaded


def test_the_skin_of_coupled_circuits_is_told_by_their_own_losses() -> None:
    """Three phases in a row pass power: the outer ones have nearly one corner, though one R turns negative."""
    turn = np.exp(-2j * np.pi / 3)
    bars = [
        Conductor(Part(n, shapes.bar(0.01, 0.06).placed((x, 0.0))), MATERIALS["copper"])
        for n, x in (("A", -0.04), ("B", 0.0), ("C", 0.04))
    ]
    phases = tuple(Circuit(n, 400 * turn**k, (n,)) for k, n in enumerate("ABC"))
    band = [float(f) for f in np.geomspace(10, 1e5, 17)]
    found = sweep(Problem(tuple(bars), phases), band, accuracy=1e-2)
    points = [answers(found.solution(k)) for k in range(len(found.frequency))]
    first, middle, last = curves_of(points, phases, bars)
    assert last.of("resistance").min() < 0 < last.resistance.min()
    assert first.corner is not None
    assert middle.corner is not None
    assert last.corner is not None
    assert abs(first.corner / last.corner - 1) < 0.05
    assert 0.4 < first.growth < 0.6  # a skin's loss grows with the root of the frequency
    for head, tail, _ in map(of_circuit, (first, last)):
        assert "R of its own losses" in head
        assert "terminals" in tail
    text = " ".join(t.get_text() for t in curves_figure(last, "t").texts)
    assert "also counts power" in text


def test_maps_in_a_row() -> None:
    found = swept(50.0, 1e6)
    figure = maps_figure([found.solution_at(f) for f in (50.0, 3e3, 1e6)], "t")
    assert len(figure.axes) == 3
    assert any("3 kHz" in text.get_text() for text in figure.texts)


def test_a_circuit_that_shares_all_its_conductors_has_its_terminals_only() -> None:
    """Three loops between three rods: no skin is told from power that they pass to one another."""
    places = {"a": (0.0, 0.0), "b": (0.012, 0.0), "c": (0.006, 0.011)}
    rods = [Conductor(Part(n, shapes.round_bar(0.008).placed(at)), MATERIALS["copper"]) for n, at in places.items()]
    loops = [Circuit("ab", 10.0, ("a",), ("b",)), Circuit("bc", 200j, ("b",), ("c",)), Circuit("ca", 90.0, "c", "a")]
    found = sweep(Problem(tuple(rods), tuple(loops)), [50.0, 500.0, 5000.0])
    points = [answers(found.solution(k)) for k in range(3)]
    one = curves_of(points, loops, rods)[0]
    assert (one.terminal, one.coupled, one.corner, one.shares) == (True, False, None, {})
    assert of_circuit(one)[0].startswith("ab shares all its conductors: R and L over frequency are those at its term")
    assert table(one).columns[2::3] == ("terminal R", "terminal L")
    panel = curves_figure(one, "loops").axes[3]
    assert [text.get_text() for text in panel.texts] == ["all its conductors are shared"]
