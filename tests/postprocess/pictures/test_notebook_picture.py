"""A picture that shows itself: its size is that of the PNG."""

from __future__ import annotations

from pathlib import Path

from crosscurrent.postprocess.pictures.notebook_picture import NotebookPicture
from crosscurrent.postprocess.pictures.style import new_figure


def test_size_and_file(tmp_path: Path) -> None:
    picture = NotebookPicture.of(new_figure(3.0, 2.0), "map")
    assert picture.size == (480, 320)  # at 160 dots per inch
    assert picture._repr_png_() == (picture.png, {"width": 288, "height": 192})  # 96 dots per inch of a page
    assert picture.save(tmp_path / "map.png").read_bytes() == picture.png
    assert repr(picture) == "<picture 'map', 480 x 320>"
