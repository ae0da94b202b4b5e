"""The pictures of a fault: momentary values of a made history, and when the maps are drawn."""

from __future__ import annotations

import math
from itertools import pairwise
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from drawn_scenes import two_rods
from topic_answers import wire

from crosscurrent.postprocess.pictures.fault import PERIODS, course_plot, density_row, instants
from crosscurrent.solver.time.fault import FaultCourse

TIMES = np.linspace(0, 0.2, 201)


def history(period: float = 0.02) -> Any:
    """1 kA in one rod, half of it in another, for 0.2 s; forces of 30 and 50 N/m at the crest."""
    wave = np.sin(100 * np.pi * TIMES)[:, None]
    currents = 1e3 * wave * [1.0, 0.5]
    return SimpleNamespace(
        times=TIMES, currents=currents, resolved=np.ones(len(TIMES), bool), energy=TIMES[:, None] * [2e3, 8e3],
        force=np.abs(wave)[..., None] * [[18.0, 24.0], [30.0, -40.0]],
        transient=SimpleNamespace(
            excitations=(SimpleNamespace(period=period), None),
            sweep=SimpleNamespace(problem=SimpleNamespace(conductors=(wire("rod"), wire("$bar$")))),
        ),
    )  # fmt: skip


@pytest.fixture(scope="module")
def figure():
    steady: Any = None
    return course_plot(FaultCourse(("feed",), (history(),), (0.0,), 50.0, steady), "Bench")


def test_panels_say_what_and_in_which_unit(figure) -> None:
    assert [axes.get_title(loc="left") for axes in figure.axes] == [
        "current of the conductors [A]", "size of the force on them, per metre [N/m]",
        "heat left in them, per metre [J/m]",
    ]  # fmt: skip
    assert [axes.yaxis.get_major_formatter()(1000.0) for axes in figure.axes] == ["1 kA", "1 kN/m", "1 kJ/m"]
    assert figure.axes[-1].get_xlabel() == "time"
    assert [t.get_text() for t in figure.texts][:2] == ["Bench", "fault in feed: momentary values"]


def test_curves_hold_the_history_the_hottest_first(figure) -> None:
    current, force, heat = figure.axes
    assert current.get_legend().get_texts()[1].get_text() == "rod"
    seen = TIMES <= PERIODS * 0.02
    np.testing.assert_allclose(current.lines[0].get_ydata(), 500 * np.sin(100 * np.pi * TIMES[seen]))
    assert np.max(force.lines[0].get_ydata()) == pytest.approx(50)
    assert np.max(force.lines[1].get_ydata()) == pytest.approx(30)
    np.testing.assert_allclose(heat.lines[0].get_ydata(), 8e3 * TIMES)
    assert current.get_xlim() == pytest.approx((0, PERIODS * 0.02))
    assert heat.get_xlim() == pytest.approx((0, 0.2))


def test_instants_lie_in_the_first_period_or_evenly_on_a_log_scale() -> None:
    np.testing.assert_allclose(instants(history()), [4e-4, 2e-3, 5e-3, 1e-2, 1.8e-2])
    np.testing.assert_allclose(instants(history(math.inf)), [2e-5, 2e-4, 2e-3, 2e-2, 0.2])


def test_maps_stand_in_a_row_with_time_and_current_above() -> None:
    """The field of two rods at rest stands for every instant."""
    flow = two_rods().flow
    transient = SimpleNamespace(
        excitations=(SimpleNamespace(period=0.02),), sweep=SimpleNamespace(problem=flow.problem),
        at=lambda times: SimpleNamespace(
            times=times, flow=lambda _: flow, drive=1e3 * np.arange(1, 6)[:, None], transient=transient
        ),
    )  # fmt: skip
    fault: Any = SimpleNamespace(circuits=("feed",), worst=SimpleNamespace(transient=transient))
    figure = density_row(fault, "Bench")
    maps = [axes for axes in figure.axes if axes.images and axes.get_aspect() == 1]
    said = [axes.get_title(loc="left") for axes in maps]
    assert said[0] == "400 µs: 1.00 kA"
    assert said[-1] == "18 ms: 5.00 kA"
    assert not any(a.bbox.overlaps(b.bbox) for a, b in pairwise(maps))
    assert "above each map: time, and current of feed" in [t.get_text() for t in figure.texts]
    assert any(axes.get_title(loc="left").startswith("|J|, momentary [A/mm²]") for axes in figure.axes)
