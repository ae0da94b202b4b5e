"""R, L and Q as they were measured over what is calculated; below, the difference in units of both uncertainties."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import FuncFormatter, LogLocator, NullFormatter

from crosscurrent.geometries.arrays import FloatArray
from crosscurrent.postprocess.answers.units import concise, engineering, temperatures
from crosscurrent.postprocess.topics.measured import MeasuredAnswer
from crosscurrent.solver.meter.overlay import COVERED

from .light_ticks import light_ticks
from .page import BlankPage
from .style import DENSITY, INK, NORMAL, QUIET, SMALL, own_style, plain, printable, shortened

SIZE = (7.4, 5.3)  # [in]
LEFT, ACROSS, BETWEEN = 0.72, 1.72, 0.66  # first panel, width of each, room between them [in]
CALCULATED, MEASURED = DENSITY(0.75), "#2f6f8f"
FEW = 40  # rows up to which each has a bar of its own
WIDE = 3.0  # largest over smallest figure from which an axis is logarithmic
WIDEST = 50.0  # residuals beyond which the axis is not linear


def measured_figure(found: MeasuredAnswer, title: str) -> Figure:
    """Measured R, L and Q with their bars, calculated with computing bar and tolerance band; residuals."""
    o = found.overlay
    r, c = o.reading, o.calculated
    ends = " to ".join(dict.fromkeys(concise(float(f), "Hz", 3) for f in r.frequencies[[0, -1]]))
    length = "" if found.axial else f"{engineering(r.length, 'm', 3)} of "
    with own_style():
        subject = (
            f'{length}circuit "{shortened(found.circuit, 30)}" at {temperatures(r.temperature, None)}, {ends} '
            f"(whole {'coil' if found.axial else 'run'})"
        )
        sheet = BlankPage.of(title, printable(subject), *SIZE)
        quality = c.impedance.imag / c.impedance.real
        loose = np.hypot(r.reactance_error, r.quality * r.resistance_error) / np.abs(r.resistance)
        kinds = (
            ("R", "ohm", r.resistance, r.resistance_error, c.impedance.real, c.resistance_bar, c.resistance_band),
            ("L", "H", r.inductance, r.inductance_error, c.inductance, c.reactance_bar / c.omega,
             c.reactance_band / c.omega),
            ("Q", "", r.quality, loose, quality, 0 * quality, 0 * quality),
        )  # fmt: skip
        for k, (letter, unit, shown, error, known, bar, band) in enumerate(kinds):
            axes = sheet.axes(LEFT + k * (ACROSS + BETWEEN), 2.35, ACROSS, 2.1)
            scaled = _scale(axes, known, unit, letter)
            _calculated(axes, c.frequencies, *(scaled(one) for one in (known, bar, band)))
            _measured(axes, r.frequencies, scaled(shown), COVERED * scaled(error))
            every = np.concatenate((shown, known))
            wide = bool((every > 0).all()) and every.max() > WIDE * every.min()
            _dress(axes, r.frequencies, logarithmic=letter != "L" and wide)
        for k, (letter, residual) in enumerate((("R", o.resistance_residual), ("L", o.reactance_residual))):
            axes = sheet.axes(LEFT + k * (ACROSS + BETWEEN), 0.62, ACROSS, 1.25)
            _residual(axes, r.frequencies, residual, letter)
        _legend(sheet, found)
    return sheet.figure


def _calculated(axes: Axes, frequencies: FloatArray, known: FloatArray, bar: FloatArray, band: FloatArray) -> None:
    if band.any():
        axes.fill_between(frequencies, known - band, known + band, color=DENSITY(0.3), alpha=0.6, linewidth=0)
    axes.fill_between(frequencies, known - bar, known + bar, color=CALCULATED, alpha=0.4, linewidth=0)
    marker = "_" if len(known) == 1 else ""
    axes.plot(frequencies, known, color=CALCULATED, linewidth=1.3, marker=marker, markersize=12)


def _measured(axes: Axes, frequencies: FloatArray, shown: FloatArray, bar: FloatArray) -> None:
    if len(shown) <= FEW:
        axes.errorbar(frequencies, shown, bar, fmt=".", color=MEASURED, markersize=3.5, elinewidth=0.8)
        return
    axes.fill_between(frequencies, shown - bar, shown + bar, color=MEASURED, alpha=0.25, linewidth=0)
    axes.plot(frequencies, shown, ".", color=MEASURED, markersize=2)


def _residual(axes: Axes, frequencies: FloatArray, residual: FloatArray, letter: str) -> None:
    axes.axhspan(-COVERED, COVERED, color=QUIET, alpha=0.12, linewidth=0, zorder=0)
    axes.axhline(0, color=QUIET, linewidth=0.5)
    axes.plot(frequencies, residual, ".", color=MEASURED, markersize=3.5 if len(residual) <= FEW else 2)
    if np.abs(residual).max() > WIDEST:
        axes.set_yscale("symlog", linthresh=COVERED)
        axes.yaxis.set_major_formatter(FuncFormatter(lambda value, _: f"{value:g}"))
    else:
        reach = 1.15 * max(3.0, float(np.abs(residual).max()))
        axes.set_ylim(-reach, reach)
    axes.set_ylabel(f"{letter}: difference / u", fontsize=SMALL + 0.5)
    axes.set_xlabel("frequency", fontsize=SMALL + 0.5)
    _dress(axes, frequencies, logarithmic=False)


def _dress(axes: Axes, frequencies: FloatArray, *, logarithmic: bool) -> None:
    axes.set_xscale("log")
    low, high = float(frequencies[0]), float(frequencies[-1])
    axes.set_xlim(low / 1.1, high * 1.1)
    axes.xaxis.set_major_locator(LogLocator(numticks=5))
    axes.xaxis.set_minor_formatter(NullFormatter())
    axes.xaxis.set_major_formatter(FuncFormatter(lambda value, _: concise(value, "Hz", 3)))
    axes.tick_params(axis="both", labelsize=SMALL - 0.5)
    if logarithmic:
        axes.set_yscale("log")
        bottom, top = axes.get_ylim()
        steps = (1, 2, 5) if top < 300 * bottom else (1,)
        axes.yaxis.set_major_locator(LogLocator(subs=steps, numticks=12))
        axes.yaxis.set_minor_formatter(NullFormatter())
        axes.yaxis.set_major_formatter(FuncFormatter(lambda value, _: plain(value)))
    for side in ("top", "right"):
        axes.spines[side].set_visible(False)
    axes.grid(color=INK, alpha=0.07, linewidth=0.5)
    light_ticks(axes)


def _scale(axes: Axes, values: FloatArray, unit: str, letter: str) -> Callable[[FloatArray], FloatArray]:
    """Label an axis in the prefix that suits the largest value, and what brings values to it."""
    axes.set_title(letter, fontsize=NORMAL, loc="left", pad=3)
    if not unit:
        return lambda of: np.asarray(of)
    sign = engineering(float(np.abs(values).max()), unit, 3).split(" ")[1]
    power = {"p": -12, "n": -9, "u": -6, "m": -3, "k": 3, "M": 6}.get(sign[0] if sign != unit else "", 0)
    words = sign.replace("u", "µ", 1) if power == -6 else sign
    axes.set_title(f"{letter} [{words}]".replace("ohm", "Ω"), fontsize=NORMAL, loc="left", pad=3)
    return lambda of: np.asarray(of) / 10.0**power


def _legend(sheet: BlankPage, found: MeasuredAnswer) -> None:
    """What the signs mean, under Q."""
    left = LEFT + 2 * (ACROSS + BETWEEN) - 0.2
    axes = sheet.axes(left, 0.62, ACROSS + 0.3, 1.25)
    axes.set_axis_off()
    axes.set(xlim=(0, 1), ylim=(0, 1))
    o, rows = found.overlay, 0.9
    few = len(o.reading.frequencies) <= FEW
    axes.errorbar([0.06], [rows], [0.07], fmt=".", color=MEASURED, markersize=3.5 if few else 2, elinewidth=0.8)
    said = [(rows, "measured, bar: 2 u of the meter")]
    axes.plot([0.0, 0.12], [0.68, 0.68], color=CALCULATED, linewidth=1.3)
    said.append((0.68, "calculated, with computing bar"))
    if o.calculated.resistance_band.any():
        axes.fill_between([0.0, 0.12], 0.4, 0.54, color=DENSITY(0.3), alpha=0.6, linewidth=0)
        said.append((0.47, "band of the tolerances"))
    axes.fill_between([0.0, 0.12], 0.19, 0.33, color=QUIET, alpha=0.12, linewidth=0)
    said.append((0.26, "within 2 u of both together"))
    said.append((0.04, "u: one standard uncertainty"))
    for y, text in said:
        axes.text(0.17 if y > 0.1 else 0.0, y, text, fontsize=SMALL, va="center", parse_math=False)
