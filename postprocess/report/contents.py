"""What a report says, before it has a form."""

from __future__ import annotations

from base64 import b64encode
from dataclasses import dataclass

from crosscurrent.postprocess.answers.chapter import Chapter
from crosscurrent.postprocess.answers.tables import TextTable

from .paper import Paper

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
    width, height : float
        How large it is printed [mm].
    """

    content: bytes
    caption: str
    alt: str
    width: float = 180.0
    height: float = 100.0

    @property
    def source(self) -> str:
        """The file itself as an address, so that the page needs no other."""
        return f"data:{_KINDS[self.content[:4]]};base64,{b64encode(self.content).decode()}"


@dataclass(frozen=True)
class AnswerRow:
    """One answer in both unit systems."""

    name: str
    value: str
    customary: str = ""
    bar: str = ""


@dataclass(frozen=True)
class Group:
    """Answers that belong together: a circuit or conductor at one frequency."""

    heading: str
    rows: tuple[AnswerRow, ...]


@dataclass(frozen=True)
class Report:
    """The whole report, all text as the user typed it.

    Attributes
    ----------
    title : str
    paper : Paper
        What it is printed on.
    block : tuple of (str, str)
        Title block: project, customer, date ...; what is stated of it.
    verdict : str
        Of the limits: "pass", "fail", "cannot tell" or "none stated".
    verdict_words : str
        The same with its reason.
    summary : tuple of str
        Lines of the first screen that the answers do not say: temperature, gaps, the worst warning.
    helps : tuple of str
        What was judged, and what would help.
    requirement : tuple of (str, str)
        What was asked for.
    section : Picture
        Drawing of the section.
    current : Picture or None
        Where the current flows.
    answers : tuple of Group
        The one table of answers, the total first.
    apart : bool
        Whether they begin on the second page; the summary says the loss then.
    counted : str
        What its figures count for: a metre of run, or all turns.
    sentences : tuple of str
        What it means.
    front_pictures, pictures : tuple of Picture
        Those before the appendix, and those in it.
    front_chapters, chapters : tuple of Chapter
        Those before the appendix, and those in it.
    details : tuple of TextTable
        Everything else, for the appendix.
    assumptions, warnings, cautions : tuple of str
    materials : TextTable
    case : str
        The case file that repeats it.
    version, digest : str
    """

    title: str
    paper: Paper
    block: tuple[tuple[str, str], ...]
    verdict: str
    verdict_words: str
    summary: tuple[str, ...]
    helps: tuple[str, ...]
    requirement: tuple[tuple[str, str], ...]
    section: Picture
    current: Picture | None
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
    apart: bool = False
    counted: str = "per metre of run unless it says total"

    @property
    def customary(self) -> bool:
        """Whether an answer is said in inch-pound units as well."""
        return any(row.customary for group in self.answers for row in group.rows)
