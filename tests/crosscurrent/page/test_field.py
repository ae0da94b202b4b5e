"""Fields as numbers that a page paints."""

import numpy as np
import pytest

from crosscurrent.casefile.reader import read_case
from crosscurrent.page import field
from crosscurrent.solver.field.following import follow
from crosscurrent.solver.field.solved_flow import SolvedFlow


@pytest.fixture(scope="module")
def tubes() -> SolvedFlow:
    return follow(read_case("cases/water-cooled-feed.toml").problem(), 85e3)


def test_points_lie_where_the_metal_is(tubes: SolvedFlow) -> None:
    head, payload = field.density(tubes)
    points = np.frombuffer(payload, dtype=np.float32).reshape(-1, 4)
    counts = [cut["count"] for cut in head["cuts"]]
    assert len(points) == sum(np.dot(p["elements"], counts) for p in head["parts"])
    away = np.hypot(points[:, 0], points[:, 1])
    assert away.max() == pytest.approx(0.008005, rel=1e-5)  # from the middle of the tube, plating included
    assert away.min() == pytest.approx(0.0065, rel=1e-5)
    assert (head["low"], head["high"]) == (0.0, pytest.approx(np.hypot(points[:, 2], points[:, 3]).max(), rel=1e-6))


def test_round_edges_are_drawn_round(tubes: SolvedFlow) -> None:
    """Chords of 3.75 degrees, as those of outlines, leave the rim by r (1 - cos(1.9 degrees)) = 5.4e-4 r."""
    head, payload = field.density(tubes)
    (count, triangles), some = (head["cuts"][1][key] for key in ("count", "triangles")), head["parts"][0]["elements"][1]
    places = np.frombuffer(payload, dtype=np.float32).reshape(-1, 4)[: some * count, :2].reshape(some, count, 2)
    ends = places[:, np.array(triangles)].astype(float) @ np.array([1, 1j])  # (elements, triangles, 3)
    others = np.roll(ends, 1, axis=2)
    on_rim = np.minimum(abs(ends), abs(others)) > 0.008005 - 1e-7
    away = abs(ends + others)[on_rim] / 2
    assert len(away) >= 96
    assert away.min() > (1 - 5.5e-4) * 0.008005


def test_loss_is_that_of_ohm_in_each_metal(tubes: SolvedFlow) -> None:
    current = np.frombuffer(field.density(tubes)[1], dtype=np.float32).reshape(-1, 4)
    head, payload = field.loss(tubes)
    loss = np.frombuffer(payload, dtype=np.float32).reshape(-1, 4)[:, 2]
    square = (current[:, 2:] ** 2).sum(axis=1)
    seen = square > 1e-6 * square.max()
    resistivity = loss[seen] / square[seen]
    # of silver and of copper at 20 degC: Matula 1979 as the table of metals cites it; IEC 60028 (IACS)
    of = [np.isclose(resistivity, 1 / sigma, rtol=1e-3) for sigma in (62.9e6, 58.0e6)]
    assert of[0].any()
    assert of[1].any()
    assert (of[0] | of[1]).all()
    assert head["high"] == pytest.approx(loss.max(), rel=1e-6)
