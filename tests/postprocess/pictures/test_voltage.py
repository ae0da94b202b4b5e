"""The map of the electric field between two wires, against that of two line charges."""

from __future__ import annotations

import numpy as np
import pytest
from matplotlib.collections import LineCollection, TriMesh

from crosscurrent.geometries.meshing.mesher import mesh_section
from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.section import Section
from crosscurrent.geometries.plane.shapes import round_bar
from crosscurrent.postprocess.pictures.voltage import LINES, electric_field, everywhere
from crosscurrent.solver.field.electrostatic import Capacitance, capacitance

RADIUS, APART, VOLTAGE = 0.005, 0.03, 200.0


@pytest.fixture(scope="module")
def wires() -> tuple[Capacitance, Section]:
    parts = tuple(Part(n, round_bar(2 * RADIUS).placed((x, 0.0))) for n, x in (("go", -0.015), ("back", 0.015)))
    section = Section(parts)
    return capacitance(mesh_section(section, [[1e-3]] * 2), (0,), (1,), accuracy=1e-3), section


@pytest.fixture(scope="module")
def figure(wires: tuple[Capacitance, Section]):
    return electric_field(*wires, VOLTAGE, "Wires", "Electric field between go and back")


def test_the_field_goes_on_beyond_the_mesh(wires: tuple[Capacitance, Section]) -> None:
    """A window made wider for names is filled; line charges: v = ln(r1 / r2) / (2 acosh(D / 2a)), |E| as below."""
    found, _ = wires
    side = 3 * found.elements.mesh.radius
    place, triangles, potential, strength = everywhere(found, np.array([[-side, -side], [side, side]]))
    focus = np.sqrt((APART / 2) ** 2 - RADIUS**2)
    first, second = (np.hypot(place[:, 0] - x, place[:, 1]) for x in (-focus, focus))
    far, steep = np.hypot(*place.T) > found.elements.mesh.radius, np.arccosh(APART / (2 * RADIUS))
    exact = np.log(second / first)[far] / (2 * steep)
    np.testing.assert_allclose(potential[far] - potential[far].mean(), exact - exact.mean(), atol=2e-3)
    np.testing.assert_allclose(strength[far], (focus / (steep * first * second))[far], rtol=5e-3)
    (x1, y1), (x2, y2) = (np.moveaxis(place[triangles[:, k]] - place[triangles[:, 0]], -1, 0) for k in (1, 2))
    metal = 2 * np.pi * RADIUS**2
    assert 0.5 * np.abs(x1 * y2 - x2 * y1).sum() + metal == pytest.approx(2 * np.pi * side**2, rel=5e-3)


def test_the_field_is_strongest_between_the_wires(figure) -> None:
    """Line charges at +-s, s^2 = (D/2)^2 - a^2: |E| = V s / (acosh(D / 2a) r1 r2), largest at D/2 - a."""
    (mesh,) = (c for c in figure.axes[0].collections if isinstance(c, TriMesh))
    square, near = (APART / 2) ** 2 - RADIUS**2, APART / 2 - RADIUS
    largest = VOLTAGE * np.sqrt(square) / (np.arccosh(APART / (2 * RADIUS)) * (square - near**2))
    assert np.max(mesh.get_array()) == pytest.approx(1e-3 * largest, rel=0.01)


def test_lines_are_circles_about_the_foci(figure) -> None:
    """Lines of equal potential have one ratio of distances from the line charges."""
    focus = np.sqrt((APART / 2) ** 2 - RADIUS**2)
    drawn = (c for c in figure.axes[0].collections if isinstance(c, LineCollection))
    lines = [np.asarray(s) for c in drawn for s in c.get_segments() if len(s) > 4]
    assert len(lines) >= LINES - 2
    for line in lines:
        r1, r2 = (np.hypot(line[:, 0] - x, line[:, 1]) for x in (-focus, focus))
        assert np.ptp(np.log(r1 / r2)) < 0.02


def test_words_units_and_names(figure) -> None:
    words = [t.get_text() for t in figure.texts]
    assert words[:2] == ["Wires", "Electric field between go and back"]
    assert any(word.startswith("lines: steps of 1/20 of 200") for word in words)
    assert {"go", "back"} <= {t.get_text() for t in figure.axes[0].texts}
    assert any(a.get_title(loc="left").startswith("|E|, rms [V/mm] at 200 V") for a in figure.axes)
