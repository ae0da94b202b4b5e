"""The plane between designs of two varied values."""

import numpy as np
import pytest
from matplotlib.tri import LinearTriInterpolator, Triangulation

from crosscurrent.postprocess.pictures.study.data import StudyScale
from crosscurrent.postprocess.pictures.study.field import Spanned, smooth
from crosscurrent.postprocess.pictures.study.scales import ShownScale


def spanned(values, by_ratios=False):
    scales = [ShownScale.of(StudyScale("x", "", by_ratios), values[:, k]) for k in (0, 1)]
    return Spanned.of(values, *scales)


def area(triangulation):
    x, y = (v[triangulation.triangles] for v in (triangulation.x, triangulation.y))
    return 0.5 * np.abs((x[:, 1] - x[:, 0]) * (y[:, 2] - y[:, 0]) - (x[:, 2] - x[:, 0]) * (y[:, 1] - y[:, 0])).sum()


@pytest.mark.parametrize("by_ratios", [False, True])
def test_triangles_fill_a_grid(by_ratios):
    grid = np.stack([g.ravel() for g in np.meshgrid([1.0, 2.0, 8.0], [1.0, 5.0])], axis=1)
    found = spanned(grid, by_ratios).where(np.ones(6, dtype=bool))
    assert area(found) == pytest.approx(7 * 4)


def test_a_design_without_a_figure_leaves_a_hole():
    grid = np.stack([g.ravel() for g in np.meshgrid(np.arange(5.0), np.arange(5.0))], axis=1)
    known = np.arange(25) != 12  # the middle
    assert 12.0 <= area(spanned(grid).where(known)) < 16.0


@pytest.mark.parametrize("values", [np.zeros((0, 2)), np.ones((5, 2)), np.outer(np.arange(4.0), [1.0, 2.0])])
def test_designs_on_a_line_span_nothing(values):
    assert spanned(values).where(np.ones(len(values), dtype=bool)) is None


def test_values_that_are_not_known_are_left_out():
    values = np.array([[0.0, 0.0], [1.0, np.nan], [1.0, 0.0], [0.0, 1.0]])
    assert spanned(values).triangles.ravel().tolist().count(1) == 0


def test_a_smooth_field_is_exact_to_the_second_order():
    """Planes and tangent planes reproduce quadratics; with slopes for most, straight lines are left far behind."""
    rng = np.random.default_rng(4)
    x, y = rng.uniform(0, 1, (2, 14))
    exact = lambda x, y: x**2 + 0.5 * x * y - 0.7 * y**2 - 0.1  # noqa: E731
    slopes = np.stack([2 * x + 0.5 * y, 0.5 * x - 1.4 * y], axis=1)
    known = Triangulation(x, y)
    fine, values = smooth(known, exact(x, y), slopes)
    straight = LinearTriInterpolator(known, exact(x, y))(fine.x, fine.y)
    bent = np.abs(straight - exact(fine.x, fine.y)).max()
    assert np.abs(values - exact(fine.x, fine.y)).max() < 1e-9 * bent
    slopes[::4] = np.nan
    fine, values = smooth(known, exact(x, y), slopes)
    assert np.abs(values - exact(fine.x, fine.y)).max() < 0.7 * bent


def test_designs_close_together_raise_no_hills():
    """Where searches end, designs all but coincide: loss over gap and width, as 1 / width."""
    grid = np.stack([g.ravel() for g in np.meshgrid(np.linspace(0, 1, 5), np.linspace(0, 1, 5))])
    ends = np.array([[0.0, 0.07], [0.0, 0.071], [0.1, 0.16], [0.35, 0.4], [0.8, 0.9]])
    apart = np.array([[0.0, 0.0], [0.0, 3e-9], [0.0, 2e-6], [2e-3, 0.0]])
    x, y = np.concatenate((grid.T, (ends[:, None] + apart).reshape(-1, 2))).T
    exact = lambda x, y: 1 / (0.3 + y) - 0.1 * x  # noqa: E731
    slopes = np.stack([0 * x - 0.1, -1 / (0.3 + y) ** 2], axis=1)
    slopes[:24] = np.nan
    known = spanned(np.stack([x, y], axis=1)).where(np.ones(len(x), dtype=bool))
    fine, values = smooth(known, exact(x, y), slopes)
    drawn = np.unique(fine.triangles)
    assert np.abs(values - exact(fine.x, fine.y))[drawn].max() < 0.2  # of 0.67 to 3.33
