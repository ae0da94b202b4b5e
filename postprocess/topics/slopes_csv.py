"""The file of slopes over the frequencies of a sweep: one row for each frequency and figure."""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Mapping, Sequence

from crosscurrent.geometries.arrays import FloatArray
from crosscurrent.solver.band.swept_slopes import SweptSlopes


def slopes_csv(
    frequency: FloatArray, found: SweptSlopes, figures: Mapping[str, tuple[float, str]], circuits: Sequence[str]
) -> str:
    """Slopes of loss, R and L with their bars, per SI unit of the figure.

    Parameters
    ----------
    frequency : (m,) float [Hz]
    found : SweptSlopes
        At these frequencies.
    figures : mapping of str to (float, str)
        Value [SI] and unit of every figure; the frequency's own is the frequency itself.
    circuits : sequence of str
    """
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    head = ["frequency_hz", "figure", "value_si", "unit", "solved", "loss_w_per_m_per_si", "loss_slope_error"]
    for name in circuits:
        head += [f"{name}: {what}" for what in ("resistance_ohm_per_m_per_si", "resistance_slope_error",
                                                "inductance_h_per_m_per_si", "inductance_slope_error")]  # fmt: skip
    writer.writerow(head)
    bars = found.resistance_error, found.inductance_error, found.loss_error
    for n, f in enumerate(frequency.tolist()):
        for k, key in enumerate(found.keys):
            value, unit = figures.get(key, (f, "Hz"))
            row: list[float] = [found.loss[n, k], bars[2][n, k]]
            for c in range(len(circuits)):
                row += [found.resistance[n, k, c], bars[0][n, k, c], found.inductance[n, k, c], bars[1][n, k, c]]
            written = (f"{x:.9g}" if math.isfinite(x) else "" for x in row)
            writer.writerow([f, key, value, unit, "yes" if found.solved[n] else "no", *written])
    return out.getvalue()
