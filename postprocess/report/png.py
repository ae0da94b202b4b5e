"""PNG files as a report takes them: how large they are, without their titles, tall ones in pieces."""

from __future__ import annotations

import io
import struct
import zlib
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np

from crosscurrent.geometries.arrays import BoolArray, IntArray

if TYPE_CHECKING:
    from PIL.Image import Image as Dots

DPI = 160.0  # of the pictures: printed so, their text has the size it was set in
BLANK = 250  # a row as light as this all along shows nothing
BAND = 0.7  # of the tallest band that shows nothing: as tall as this it divides a picture as well
TITLE = 0.39  # room that the title takes at the top of a picture [in]
RIM = 3  # blank dots kept all round, lest a screen that shows the sheet small drops the outermost dots of what is shown
SIGNATURE = b"\x89PNG\r\n\x1a\n"
LEVEL = 7  # of zlib: the last percents take ten times longer


def png_size(png: bytes) -> tuple[float, float]:
    """Width and height of a PNG file, printed as it was made [mm].

    Examples
    --------
    >>> header = b"\\x89PNG\\r\\n\\x1a\\n" + 4 * b"\\0" + b"IHDR"
    >>> png_size(header + struct.pack(">II", 1600, 800))
    (254.0, 127.0)
    """
    wide, tall = struct.unpack(">II", png[16:24])
    return wide / DPI * 25.4, tall / DPI * 25.4


def printed_part(png: bytes) -> bytes:
    """What a report shows of a picture, dot for dot: all but its title, which the report has; of blank margins a rim.

    It is packed harder, and without the transparency it makes no use of.
    """
    from PIL import Image

    with Image.open(io.BytesIO(png)) as picture:
        opaque = picture.convert("RGBA").getchannel("A").getextrema() == (255, 255)
        seen: Dots = picture.convert("RGB") if opaque else picture.convert("RGBA")
    dots = np.asarray(seen)[round(TITLE * DPI) :, :, :3].min(axis=-1)
    (top, bottom), (left, right) = (_span(dots.min(axis=axis) < BLANK) for axis in (1, 0))
    return _packed(seen.crop((left, round(TITLE * DPI) + top, right, round(TITLE * DPI) + bottom)))


def _span(shown: BoolArray) -> tuple[int, int]:
    """First and one behind the last of what is shown, with its rim."""
    found = np.flatnonzero(shown)
    return max(0, int(found[0]) - RIM), min(len(shown), int(found[-1]) + 1 + RIM)


def pieces(png: bytes, number: int) -> list[bytes]:
    """A picture cut into so many pieces one below the other, through the middle of wide bands that show nothing.

    Of such bands the nearest to an even cut are taken; a picture without them stays whole.
    """
    from PIL import Image

    with Image.open(io.BytesIO(png)) as picture:
        whole = picture.convert("RGB")
    tall = whole.height
    bands = _blank_bands(np.asarray(whole).min(axis=(1, 2)))
    even = [tall * k // number for k in range(1, number)]
    cuts = sorted({int(bands[np.abs(bands - row).argmin()]) for row in even}) if len(bands) else []
    if len(cuts) < number - 1 or np.diff([0, *cuts, tall]).min() < tall / number / 2:
        return [png]
    return [
        _packed(whole.crop((0, top, whole.width, bottom)))
        for top, bottom in zip([0, *cuts], [*cuts, tall], strict=True)
    ]


def _blank_bands(darkest: IntArray) -> IntArray:
    """Middle rows of those bands between shown rows that are about as tall as the tallest."""
    blank = darkest >= BLANK
    steps = np.flatnonzero(np.diff(blank.astype(int)))
    inner = [(a + 1, b + 1) for a, b in pairwise(steps.tolist()) if blank[a + 1]]
    tallest = max((b - a for a, b in inner), default=0)
    return np.array([(a + b) // 2 for a, b in inner if b - a >= BAND * tallest], dtype=int)


def _packed(picture: Dots) -> bytes:
    """Each row told by the one above it, or as it is: flat colours and text repeat themselves more than they change."""
    file = io.BytesIO()
    picture.save(file, "PNG", compress_level=LEVEL)
    return min(file.getvalue(), _as_it_is(picture), key=len)


def _as_it_is(picture: Dots) -> bytes:
    """A PNG file (ISO/IEC 15948) of true colours whose rows are all of filter type 0."""
    rows = np.asarray(picture)
    tall, wide, channels = rows.shape
    body = np.zeros((tall, 1 + wide * channels), dtype=np.uint8)
    body[:, 1:] = rows.reshape(tall, -1)
    return _file(wide, tall, channels, zlib.compress(body.tobytes(), LEVEL))


def _file(wide: int, tall: int, channels: int, held: bytes) -> bytes:
    """A PNG file of true colours around what it holds."""
    head = struct.pack(">IIBBBBB", wide, tall, 8, 2 if channels == 3 else 6, 0, 0, 0)
    chunks = (b"IHDR", head), (b"IDAT", held), (b"IEND", b"")
    return SIGNATURE + b"".join(
        struct.pack(">I", len(part)) + kind + part + struct.pack(">I", zlib.crc32(kind + part)) for kind, part in chunks
    )


def packed_dots(wide: int, tall: int, held: bytes) -> bytes:
    """What a PNG file of red, green and blue holds, as PDF takes it without the file around it, packed harder."""
    from PIL import Image

    with Image.open(io.BytesIO(_file(wide, tall, 3, held))) as picture:
        file, place, found = _packed(picture), len(SIGNATURE), b""
    while place < len(file):
        (size,) = struct.unpack(">I", file[place : place + 4])
        if file[place + 4 : place + 8] == b"IDAT":
            found += file[place + 8 : place + 8 + size]
        place += size + 12
    return min(found, held, key=len)
