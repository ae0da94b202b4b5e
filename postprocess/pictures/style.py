"""How pictures look: colour maps of our own, text, scale bars, and files that come out the same every time."""

from __future__ import annotations

import io
import math
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, cast

import matplotlib
import numpy as np
from matplotlib.backends import backend_agg, backend_mixed, backend_svg
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.colors import LinearSegmentedColormap
from matplotlib.figure import Figure
from PIL import Image

from crosscurrent.postprocess.answers.units import INCH, THOU, engineering

from .two_renderers import TwoRenderers

# lightness falls steadily along the first two, so they read in grey; the third is light at 0 and dark at 180 degrees,
# warm for leading and blue for lagging, so that it reads with any colour vision
DENSITY = LinearSegmentedColormap.from_list(
    "crosscurrent.density", ["#f2ede2", "#f0d5a0", "#e0a463", "#c06a4b", "#893553", "#3a1645"]
)
FIELD = LinearSegmentedColormap.from_list(
    "crosscurrent.field", ["#fafbfa", "#d3e3e0", "#a3c8c6", "#72a6ab", "#48808f"]
)
PHASE = LinearSegmentedColormap.from_list(
    "crosscurrent.phase",
    ["#2a2142", "#324d84", "#4f8dbd", "#9cbfa6", "#f1c450", "#e2893f", "#c0503c", "#742f4b", "#2a2142"],
)
INK = "#1d1d22"
QUIET = "#5c5c66"
DPI = 160  # of the pictures and of the fields inside them
POINTS = 72  # in an inch
VECTOR: dict[str, Any] = {"Date": None, "Creator": None}  # left out of the files
PIXELS: dict[str, Any] = {"Software": None}
EFFORT = 3  # in packing a PNG
SMALL, NORMAL, LARGE = 7.0, 8.0, 10.5  # text [pt]
_AGG, _SVG, _MIXED = (  # not typed
    cast(Any, renderer)
    for renderer in (backend_agg.RendererAgg, backend_svg.RendererSVG, backend_mixed.MixedModeRenderer)
)

_OWN = {
    "font.family": "DejaVu Sans",
    "font.size": NORMAL,
    "text.color": INK,
    "axes.edgecolor": QUIET,
    "axes.linewidth": 0.5,
    "axes.labelcolor": INK,
    "xtick.color": QUIET,
    "ytick.color": QUIET,
    "xtick.labelsize": SMALL,
    "ytick.labelsize": SMALL,
    "xtick.major.width": 0.5,
    "ytick.major.width": 0.5,
    "xtick.major.size": 2.5,
    "ytick.major.size": 2.5,
    "hatch.linewidth": 0.4,
    "text.hinting": "no_hinting",  # letters stand as in the vector file, and a quarter of their time is saved
    "svg.fonttype": "none",
    "svg.hashsalt": "crosscurrent",
}


@contextmanager
def own_style() -> Iterator[None]:
    """The settings of our pictures, whatever the user has set; theirs come back afterwards."""
    if matplotlib.rcParams["svg.hashsalt"] == _OWN["svg.hashsalt"]:  # within another
        yield
        return
    with matplotlib.rc_context(), warnings.catch_warnings():
        warnings.filterwarnings("ignore", message="Glyph .* missing from font")  # a title may hold any sign
        matplotlib.rcdefaults()
        matplotlib.rcParams.update(cast(Any, _OWN))
        yield


def new_figure(width: float, height: float) -> Figure:
    """An empty figure [in] that belongs to no window."""
    figure = Figure(figsize=(width, height), dpi=DPI, facecolor="white")
    FigureCanvasAgg(figure)
    return figure


def save(figure: Figure, stem: Path) -> tuple[Path, Path]:
    """Write a figure as PNG and SVG beside each other; the same figure gives the same bytes."""
    png, svg = stem.with_name(stem.name + ".png"), stem.with_name(stem.name + ".svg")
    with own_style():
        width, height = figure.get_size_inches()
        pixels = _AGG(*(round(length, 6) for length in figure.bbox.size), DPI)
        with svg.open("w", encoding="utf-8") as file:  # laid out once, in points
            plain_svg = _SVG(width * POINTS, height * POINTS, file, image_dpi=DPI, metadata=VECTOR)
            figure.dpi = POINTS
            vector = _MIXED(figure, width, height, DPI, plain_svg)
            figure.draw(TwoRenderers(vector, pixels, DPI / POINTS))
            vector.finalize()
        figure.dpi = DPI
        whole = Image.fromarray(np.asarray(pixels.buffer_rgba())).convert("RGB")  # its ground is white
        whole.save(png, format="png", dpi=(DPI, DPI), compress_level=EFFORT)
    return png, svg


def save_one(figure: Figure, file: Path) -> None:
    """Write the figure as PNG or SVG, whichever the name of the file says; it appears whole or not at all."""
    fresh = file.with_name(f".{file.name}")
    dated = {"Software": None} if file.suffix.lower() == ".png" else {"Date": None, "Creator": None}
    with own_style():
        try:
            figure.savefig(fresh, format=file.suffix.lower()[1:], dpi=DPI, metadata=dated)
            fresh.replace(file)
        finally:
            fresh.unlink(missing_ok=True)


def as_png(figure: Figure) -> bytes:
    """A figure as a PNG file; the same figure gives the same bytes."""
    file = io.BytesIO()
    with own_style():
        figure.savefig(file, format="png", dpi=DPI, metadata=PIXELS, pil_kwargs={"compress_level": EFFORT})
    return file.getvalue()


def write(figure: Figure, x: float, y: float, text: str, **look: Any) -> None:
    """Text at a place of the figure [in]; nothing in it is read as a formula."""
    width, height = figure.get_size_inches()
    figure.text(x / width, y / height, printable(text), parse_math=False, **look)


def printable(text: str) -> str:
    """Text without the control characters that an SVG cannot hold.

    Examples
    --------
    >>> printable("a\\x00b <&>")
    'ab <&>'
    """
    return "".join(c for c in text if c == "\n" or c.isprintable())


def shortened(text: str, length: int) -> str:
    """At most so many characters, with an ellipsis for what is left out.

    Examples
    --------
    >>> shortened("a long name", 7)
    'a long…'
    """
    text = " ".join(text.split())
    return text if len(text) <= length else text[: length - 1].rstrip() + "\u2026"


def length_text(length: float) -> str:
    """A length [m] in millimetres with thou in brackets, from an inch on inches, without powers of ten.

    Examples
    --------
    >>> length_text(0.01), length_text(0.1)
    ('10 mm (394 thou)', '100 mm (3.94 in)')
    """
    other = f"{plain(length / INCH)} in" if length >= INCH else f"{plain(length / THOU)} thou"
    return f"{plain(length * 1e3)} mm ({other})"


def plain(value: float, digits: int = 3) -> str:
    """A number with some significant digits and never a power of ten.

    Examples
    --------
    >>> plain(1234567.0), plain(0.000123456, 2)
    ('1230000', '0.00012')
    """
    if value == 0:
        return "0"
    rounded = float(f"{value:.{digits}g}")
    decimals = max(0, digits - 1 - math.floor(math.log10(abs(rounded))))
    text = f"{rounded:.{decimals}f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return text.replace("-", "\u2212")


def digits_apart(low: float, high: float) -> int:
    """Significant digits, four or more, that tell the ticks of a scale apart.

    Examples
    --------
    >>> digits_apart(0.0, 20.0), digits_apart(228.18, 228.26)
    (4, 6)
    """
    largest = max(abs(low), abs(high))
    if not high > low or not math.isfinite(largest):
        return 4
    return max(4, 2 + math.ceil(math.log10(largest / (high - low))))


def amount(value: float, unit: str, digits: int) -> str:
    """A value with its unit and the prefix that suits it.

    Examples
    --------
    >>> amount(2e-6, "Wb/m", 1)
    '2 µWb/m'
    """
    return engineering(value, unit, digits).replace(" u", " µ").replace("-", "\u2212")


def round_below(value: float) -> float:
    """Largest of 1, 2, 5 times a power of ten that is not above a value.

    Examples
    --------
    >>> round_below(0.037)
    0.02
    """
    power = 10.0 ** math.floor(math.log10(value) + 1e-12)
    return float(f"{max(k for k in (1, 2, 5) if k * power <= value * (1 + 1e-9)) * power:.6g}")
