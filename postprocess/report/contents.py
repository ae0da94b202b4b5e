"""What a report says, before it has a form."""

from __future__ import annotations

from base64 import b64encode
from dataclasses import dataclass

from ..chapter import Chapter
from ..tables import TextTable

_KINDS = {b"\x89PNG": "image/png", b"<svg": "image/svg+xml", b"<?xm": "image/svg+xml"}


@dataclass(frozen=True)
class Picture:
    """A picture with the message it carries.

    Parameters
    ----------
    content : bytes
        A PNG or SVG file.
    caption : str
        Says what is seen and what it means.
    alt : str
        The same for those who cannot see it.
    """

    content: bytes
    caption: str
    alt: str

    @property
    def source(self) -> str:
        """The file itself as an address, so that the page needs no other."""
        return f"data:{_KINDS[self.content[:4]]};base64,{b64encode(self.content).decode()}"


@dataclass(frozen=True)
class Row:
    """One answer in both unit systems."""

    name: str
    value: str
    customary: str = ""
    bar: str = ""


@dataclass(frozen=True)
class Group:
    """Answers that belong together: a circuit or conductor at one frequency."""

    heading: str
    rows: tuple[Row, ...]


@dataclass(frozen=True)
class Report:
    """The whole report, all text as the user typed it.

    Attributes
    ----------
    title : str
    block : tuple of (str, str)
        Title block: project, customer, date ...
    requirement : tuple of (str, str)
        What was asked for.
    section : Picture
        Drawing of the section.
    answers : tuple of Group
        The one table of answers.
    sentences : tuple of str
        What it means.
    front_pictures, pictures : tuple of Picture
        Those of the second page, and those of the appendix.
    front_chapters, chapters : tuple of Chapter
        Those of the second page, and those of the appendix.
    details : tuple of TextTable
        Everything else, for the appendix.
    assumptions, warnings, cautions : tuple of str
    materials : TextTable
    case : str
        The case file that repeats it.
    version, digest : str
    """

    title: str
    block: tuple[tuple[str, str], ...]
    requirement: tuple[tuple[str, str], ...]
    section: Picture
    answers: tuple[Group, ...]
    sentences: tuple[str, ...]
    front_pictures: tuple[Picture, ...]
    pictures: tuple[Picture, ...]
    front_chapters: tuple[Chapter, ...]
    chapters: tuple[Chapter, ...]
    details: tuple[TextTable, ...]
    assumptions: tuple[str, ...]
    warnings: tuple[str, ...]
    cautions: tuple[str, ...]
    materials: TextTable
    case: str
    version: str
    digest: str
