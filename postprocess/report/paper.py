"""The sheet a report is printed on, and how large its pictures stand on it."""

from __future__ import annotations

import math
from dataclasses import dataclass

SIDES, HEAD, FOOT = 15.0, 17.0, 15.0  # margins [mm]
FIRST = 0.62  # of the text's width: what is seen on the first page
DRAWING, CLEAR, LEAST = 0.17, 0.145, 0.12  # of the sheet's height: the section on the first page; with all its names
CAPTION = 19.0  # a caption of two lines with the space around it [mm]
READABLE = 0.86  # of its own size: text of 7 pt becomes 6; what would be smaller on half a page is cut into pieces
OVER_HALF = 0.55  # of a page's height, for a picture that can be read so
ROW = 4.8  # of the table of answers [mm]
TITLES = 44.5  # titles on the first page, and lines below its pictures [mm]
ANSWERS = 62.0  # what the table of answers should find [mm]
HEADS = 18.0  # its heading, caption and columns [mm]
SPARE = 5.0  # of a first page at least, beyond what is foreseen [mm]
FEWEST, MOST = 5, 20  # rows of it


@dataclass(frozen=True)
class Paper:
    """A sheet [mm]."""

    name: str
    width: float
    height: float

    @property
    def inner(self) -> tuple[float, float]:
        """Width and height of what is printed on [mm].

        Examples
        --------
        >>> PAPERS["a4"].inner
        (180.0, 265.0)
        """
        return self.width - 2 * SIDES, self.height - HEAD - FOOT

    def first_page(self, above: float, shape: float) -> tuple[float, float]:
        """Height of the section and width of the picture below it on the first page [mm].

        Parameters
        ----------
        above : float
            What the title and the verdict take beyond a line each [mm].
        shape : float
            Height of the picture over its width.

        Examples
        --------
        >>> [round(x, 1) for x in PAPERS["a4"].first_page(0.0, 0.7)], round(PAPERS["a4"].first_page(90.0, 1.1)[1], 1)
        ([50.5, 111.6], 105.0)
        """
        room = self.inner[1] - TITLES - above
        drawing = min(
            DRAWING * self.height,
            max(CLEAR * self.height, room - shape * self.first_picture - ANSWERS),
            max(LEAST * self.height, room - shape * self.width / 2),
        )
        return drawing, max(self.width / 2, min(self.first_picture, (room - drawing - ANSWERS) / shape))

    def picture_width(self, wide: float, tall: float) -> float:
        """How wide a picture is printed, so that two find room on a page where they can be read there [mm].

        Parameters
        ----------
        wide, tall : float
            Its own size [mm]; it is never enlarged.

        Examples
        --------
        >>> [round(PAPERS["a4"].picture_width(*size)) for size in ((188.0, 131.0), (127.0, 64.0))]
        [163, 127]
        """
        width, height = self.inner
        small, readable = min(wide, width, self.half_page * wide / tall), min(READABLE * wide, width)
        fits = readable * tall / wide <= OVER_HALF * height - CAPTION
        return readable if small < readable and fits else small

    def whole_width(self, wide: float, tall: float) -> float:
        """How wide a picture is printed that is too tall for half a page and cannot be cut [mm].

        Parameters
        ----------
        wide, tall : float
            Its own size [mm].

        Examples
        --------
        >>> [round(PAPERS["a4"].whole_width(*size)) for size in ((179.0, 158.0), (120.0, 300.0))]
        [154, 98]
        """
        width, height = self.inner
        return min(READABLE * wide, width, (height - CAPTION) * wide / tall)

    @property
    def half_page(self) -> float:
        """Height of a picture of which two find room on a page [mm]."""
        return self.inner[1] / 2 - CAPTION

    def pieces(self, wide: float, tall: float) -> int:
        """Into how many pieces a picture is best cut, so that each can be read on half a page.

        Examples
        --------
        >>> PAPERS["a4"].pieces(188.0, 166.0), PAPERS["a4"].pieces(188.0, 333.0)
        (2, 3)
        """
        width = min(wide, self.inner[0])
        if self.picture_width(wide, tall) >= min(READABLE * wide, width):
            return 1
        return math.ceil(tall * width / wide / self.half_page)

    def rows(self, above: float, total: int = 1) -> int:
        """Rows of the table of answers for which there is room: on the first page, whose text and pictures take so
        much [mm], or on the next where the first has none for the `total` rows that stand together.

        Examples
        --------
        >>> PAPERS["a4"].rows(150.0), PAPERS["letter"].rows(150.0), PAPERS["a4"].rows(190.0), PAPERS["a4"].rows(300.0)
        (10, 7, 5, 20)
        """
        return max(FEWEST, min(MOST, int(self._left(above) / ROW))) if self.begins_answers(above, total) else MOST

    def begins_answers(self, above: float, total: int = 1) -> bool:
        """Whether the total finds room on the first page; as `rows`.

        Examples
        --------
        >>> [PAPERS["a4"].begins_answers(above, total) for above, total in ((195.0, 1), (195.0, 2), (190.0, 2))]
        [True, False, True]
        """
        return self._left(above) > (1 + total) * ROW - SPARE

    def _left(self, above: float) -> float:
        return self.inner[1] - TITLES - HEADS - above

    @property
    def first_picture(self) -> float:
        """How wide the picture on the first page is [mm]."""
        return FIRST * self.inner[0]


PAPERS = {"a4": Paper("A4", 210.0, 297.0), "letter": Paper("letter", 215.9, 279.4)}
