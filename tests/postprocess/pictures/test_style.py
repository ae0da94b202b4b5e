"""Text, numbers and colours of the pictures, and files that come out the same every time."""

from __future__ import annotations

from pathlib import Path

import matplotlib
import numpy as np
import pytest
from drawn_scenes import lightness
from matplotlib.colors import Colormap

from crosscurrent.postprocess.pictures.style import (
    DENSITY,
    FIELD,
    PHASE,
    new_figure,
    own_style,
    plain,
    round_below,
    save,
    shortened,
    write,
)


@pytest.mark.parametrize(
    ("value", "said"),
    [(0.0, "0"), (1234567.0, "1230000"), (0.00012345, "0.000123"), (-0.5, "\u22120.5"), (99.96, "100"), (5.0, "5")],
)
def test_plain_numbers_have_no_powers_of_ten(value: float, said: str) -> None:
    assert plain(value) == said


@pytest.mark.parametrize(("value", "below"), [(1.0, 1), (1.99, 1), (2.0, 2), (4.9, 2), (0.5, 0.5), (9.9, 5)])
def test_round_lengths(value: float, below: float) -> None:
    assert round_below(value) == pytest.approx(below)


def test_long_text_ends_in_an_ellipsis() -> None:
    assert shortened("a  name\n of a bar", 50) == "a name of a bar"
    assert shortened("abcdef", 4) == "abc\u2026"
    assert len(shortened("ab cdef", 4)) <= 4


def test_settings_of_the_user_come_back() -> None:
    with matplotlib.rc_context({"font.size": 33.0}):
        with own_style():
            assert matplotlib.rcParams["font.size"] == 8.0
        assert matplotlib.rcParams["font.size"] == 33.0


def test_the_same_figure_gives_the_same_bytes(tmp_path: Path) -> None:
    def drawn(stem: str) -> list[bytes]:
        figure = new_figure(2.0, 1.0)
        write(figure, 0.1, 0.5, "$x$ <&>\x00")
        return [path.read_bytes() for path in save(figure, tmp_path / stem)]

    png, svg = drawn("one.5")  # a dot in the name is no suffix
    assert [png, svg] == drawn("two.5")
    assert (tmp_path / "one.5.png").exists()
    assert b"$x$ &lt;&amp;&gt;" in svg


@pytest.mark.parametrize("colours", [DENSITY, FIELD])
def test_magnitude_colours_darken_steadily(colours: Colormap) -> None:
    steps = np.diff(lightness(colours(np.linspace(0, 1, 64))))
    assert (steps < 0).all()
    assert steps.min() > 4 * steps.max()  # no jump, no flat


def test_phase_colours_close_and_tell_directions_apart_in_grey() -> None:
    start, lag, zero, lead, end = (np.array(PHASE(p)) for p in (0.0, 0.25, 0.5, 0.75, 1.0))
    np.testing.assert_allclose(start, end, atol=1e-9)
    assert lightness(zero) - lightness(start) > 50
    assert lightness(start) + 15 < lightness(lag) < lightness(zero) - 15
    assert lead[0] - lead[2] > 0.3
    assert lag[2] - lag[0] > 0.3  # warm leads, blue lags
