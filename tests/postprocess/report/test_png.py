"""PNG files packed tighter: not a dot of what is shown changes."""

from __future__ import annotations

import io
import struct
import zlib

import numpy as np
import pytest
from PIL import Image

from crosscurrent.postprocess.report.png import packed_dots, pieces, png_size, printed_part

SHOWN = slice(80, 180), slice(10, 100)
RIMMED = slice(77, 183), slice(7, 103)  # three blank dots more on all sides


def png(alpha: int) -> bytes:
    """Dots in a blank margin below a title 0.3 in high."""
    dots = np.full((200, 120, 4), 255, dtype=np.uint8)
    dots[SHOWN] = np.random.default_rng(1).integers(0, 4, (100, 90, 4), dtype=np.uint8) * 60
    dots[..., 3] = 255
    dots[80, 10, 3] = alpha
    dots[10:48, 10:110, :3] = 0
    file = io.BytesIO()
    Image.fromarray(dots).save(file, "PNG", compress_level=1)
    return file.getvalue()


def dots_of(content: bytes) -> np.ndarray:
    return np.asarray(Image.open(io.BytesIO(content)).convert("RGBA"))


@pytest.mark.parametrize("alpha", [255, 7])
def test_every_dot_but_title_and_margin_stays_with_a_blank_rim(alpha: int) -> None:
    before = png(alpha)
    after = printed_part(before)
    assert len(after) < len(before)
    np.testing.assert_array_equal(dots_of(after), dots_of(before)[RIMMED])
    assert printed_part(before) == after


@pytest.mark.parametrize("alpha", [255, 7])
def test_letters_that_repeat_themselves_are_packed_as_they_are(alpha: int) -> None:
    """A pattern that comes again and again: smaller than filtered rows packed as hard as can be, the same dots."""
    letter = np.random.default_rng(2).integers(0, 200, (12, 9, 4), dtype=np.uint8)
    letter[..., 3] = alpha
    dots = np.full((200, 120, 4), 255, dtype=np.uint8)
    dots[80:176, 10:100] = np.tile(letter, (8, 10, 1))
    file, usual = io.BytesIO(), io.BytesIO()
    Image.fromarray(dots).save(file, "PNG")
    after = printed_part(file.getvalue())
    shown = dots[77:179, 7:103]
    np.testing.assert_array_equal(dots_of(after), shown)
    Image.fromarray(shown if alpha < 255 else shown[..., :3]).save(usual, "PNG", compress_level=9)
    assert len(after) < len(usual.getvalue())
    assert printed_part(file.getvalue()) == after


def test_what_pdf_holds_of_a_picture_is_packed_harder() -> None:
    dots, file = np.random.default_rng(3).integers(0, 4, (40, 60, 3), dtype=np.uint8) * 60, io.BytesIO()
    rows = np.concatenate((np.zeros((40, 1), np.uint8), dots.reshape(40, -1)), axis=1)
    loose = zlib.compress(rows.tobytes(), 0)
    held = packed_dots(60, 40, loose)
    assert len(held) < len(loose) / 2
    assert packed_dots(60, 40, held) == held
    Image.fromarray(dots).save(file, "PNG")
    header, end = file.getvalue()[:33], file.getvalue()[-12:]
    chunk = struct.pack(">I", len(held)) + b"IDAT" + held + struct.pack(">I", zlib.crc32(b"IDAT" + held))
    np.testing.assert_array_equal(np.asarray(Image.open(io.BytesIO(header + chunk + end))), dots)


def test_size() -> None:
    # 160 dots to the inch of 25.4 mm
    assert png_size(png(255)) == pytest.approx((120 / 160 * 25.4, 200 / 160 * 25.4))


def panels(*rows: slice) -> bytes:
    """Dark bands on white, 100 rows tall."""
    dots = np.full((100, 40, 3), 255, dtype=np.uint8)
    for band in rows:
        dots[band, 5:35] = 30
    file = io.BytesIO()
    Image.fromarray(dots).save(file, "PNG")
    return file.getvalue()


def test_a_tall_picture_is_cut_where_it_shows_nothing() -> None:
    whole = panels(slice(2, 55), slice(60, 98))
    cut = pieces(whole, 2)
    np.testing.assert_array_equal(np.concatenate([dots_of(piece) for piece in cut]), dots_of(whole))
    assert 55 <= len(dots_of(cut[0])) <= 60


def test_a_picture_without_a_gap_stays_whole() -> None:
    whole = panels(slice(0, 100))
    assert pieces(whole, 2) == [whole]
    lopsided = panels(slice(3, 100))
    assert pieces(lopsided, 3) == [lopsided]
