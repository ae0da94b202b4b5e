"""Map of the phase of the current density."""

from __future__ import annotations

import numpy as np
from matplotlib.cm import ScalarMappable
from matplotlib.colorbar import Colorbar
from matplotlib.colors import Normalize
from matplotlib.figure import Figure

from crosscurrent.geometries.arrays import ComplexArray, FloatArray
from crosscurrent.postprocess.answers.answers import Answers
from crosscurrent.postprocess.answers.field_values import reference_phase

from ..kind import PictureKind
from ..metal_map import metal_map
from ..scene import Scene
from ..style import PHASE, SMALL, own_style, plain, shortened

FAINT = 0.06  # share of the scale below which a phase fades


def phase_map(scene: Scene) -> Figure:
    """Phase of J against the first circuit's current, faded where there is next to no current."""
    turn = np.exp(-1j * reference_phase(scene.flow))

    def colours(j: ComplexArray) -> FloatArray:
        rgba = np.asarray(PHASE(np.angle(j * turn) / (2 * np.pi) + 0.5))
        solid = np.clip(1e-6 * np.abs(j) / (FAINT * scene.scale.high), 0, 1)[:, None]
        rgba[:, :3] = 1 - solid * (1 - rgba[:, :3])
        return rgba

    first = next((c.name for c in scene.flow.problem.circuits if c.current), None)
    against = f'the current of "{shortened(first, 30)}"' if first else "0°"
    faint = f"fades to white below |J| = {plain(FAINT * scene.scale.high, 2)} A/mm²"
    page = metal_map(scene, f"Phase of the current density against {against}", colours, [faint])
    with own_style():
        bar = Colorbar(page.bar, ScalarMappable(Normalize(-180, 180), PHASE), orientation="horizontal",
                       ticks=[-180, -90, 0, 90, 180])  # fmt: skip
        bar.outline.set_linewidth(0.5)
        page.bar.set_title("phase of J [°]: lags < 0 < leads", fontsize=SMALL + 0.5, loc="left", pad=3)
    return page.figure


def _faded(point: Answers) -> str:
    return "light where there is next to no current"


KIND = PictureKind("phase", 2, "Phase of the current density", phase_map, _faded)
