"""Map of the current density."""

from __future__ import annotations

import numpy as np
from matplotlib.cm import ScalarMappable
from matplotlib.figure import Figure

from crosscurrent.postprocess.answers.answers import Answers

from ..kind import PictureKind
from ..metal_map import metal_map
from ..scale import colour_bar
from ..scene import Scene
from ..style import DENSITY, length_text, own_style, plain, shortened


def density_map(scene: Scene) -> Figure:
    """|J| in every conductor, and a zoom of the largest loss."""
    colours = ScalarMappable(scene.scale.norm, DENSITY)
    spot, densest = scene.spot, scene.densest
    crest = f" ({plain(1e-6 * densest.crest_current_density)} crest)" if scene.solution.frequency else ""
    largest = f"{plain(1e-6 * densest.peak_current_density)} A/mm² rms{crest}"
    mediums = {b.name for b in scene.answers.bundles.values() if not b.is_resolved}
    where = "strands of " if densest.name in mediums else ""
    notes = [f"largest |J|: {largest} in {where}{shortened(densest.name, 30)}"]
    if mediums:
        notes.append("bundles: the mean over their strands and what is between")
    if np.isfinite(spot.skin):
        notes.append(f"skin depth in {spot.metal}: {length_text(spot.skin)}")
    page = metal_map(scene, "Current density |J|, rms", lambda j: np.asarray(colours.to_rgba(1e-6 * np.abs(j))), notes)
    with own_style():
        colour_bar(page.bar, scene.scale, DENSITY, "|J|, rms [A/mm²]")
    return page.figure


def _most_loss(point: Answers) -> str:
    """Where the current flows in the conductor of largest loss."""
    worst = max(point.conductors.values(), key=lambda c: c.loss)
    return f"{worst.name}, {worst.sentence}"


KIND = PictureKind("current-density", 1, "Current density", density_map, _most_loss)
