"""From a solved case to the report for a customer."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from itertools import groupby

import numpy as np

from crosscurrent.postprocess.answers.answers import Answers
from crosscurrent.postprocess.answers.drawn_picture import DrawnPicture
from crosscurrent.postprocess.answers.few_names import few, row_of
from crosscurrent.postprocess.answers.summary import lines_beside_answers
from crosscurrent.postprocess.answers.tables import TextTable, sentences, tables
from crosscurrent.postprocess.answers.units import concise, error_bar, frequency_words, in_mm_and_thou, permeability
from crosscurrent.postprocess.report import PAPERS, Paper, Picture, Report, pieces, png_size, printed_part
from crosscurrent.postprocess.workshop.axis import Kind
from crosscurrent.postprocess.workshop.drawing import extent_of, fitted_drawing
from crosscurrent.postprocess.workshop.drawing_files import as_svg
from crosscurrent.solver.field.problem import Problem

from .report_answers import answer_groups, total_group
from .report_requirement import requirement
from .result import Result

SHOWN = 3  # frequencies in the table of answers; the appendix and the files have all
PICTURED = 9  # pictures in the appendix; the folder has all
NAMED = 6  # conductors that the description of the section names
WIDE = 300  # letters of a line of the first screen
TEXT = 1.6  # height of the text in the section [mm]
LINE, LETTERS, BLOCK = 4.2, 104, 12.0  # of the first page: a line [mm], its letters, the title block [mm]
TITLE_LINE, TITLE_LETTERS = 5.3, 70  # of the title
ROUND = "of a circuit for all its turns in series, of a turn or a piece all round the axis"
NARROW_LINE, NARROW_LETTERS = 4.0, 44  # of what stands beside its pictures
FRONT = ("limits", "measured", "temperature", "water", "hand_formula")  # chapters before the appendix
FIRST = "current-density"  # pictures before the appendix: this, and the first there is of those
SECOND = ("measured", "sweep", "temperature", "water", "flux-lines")


def report_of(result: Result, pictures: Sequence[DrawnPicture]) -> Report:
    """The report of a result.

    Parameters
    ----------
    result : Result
    pictures : sequence of DrawnPicture
        Shown in this order.
    """
    shown = [result.at(f) for f in list(result.solutions)[:SHOWN]]
    heading, head, summary = result.heading, result.case.data.report, result.summary
    paper = PAPERS[head.sheet]
    first, second, rest = _in_order(pictures)
    helps = [text for c in result.chapters if c.key == "limits" for text in c.sentences[1:]]
    block = [(label, text) for label, key in _BLOCK if (text := getattr(head, key))]
    front = [c for c in result.chapters if c.key in FRONT]
    asked, found = tuple(requirement(result)), lines_beside_answers(summary, WIDE)
    judged = () if summary.verdict == "none stated" else (summary.verdict_words, *helps)
    above = LINE * _lines(judged, LETTERS) + BLOCK * bool(block) + TITLE_LINE * (len(heading.title) // TITLE_LETTERS)
    section, current = _seen_first(first, result, paper, above)
    pictures_height = sum(picture.height for picture in (section, current) if picture is not None)
    beside = NARROW_LINE * _lines((*found, *(" ".join(row) for row in asked)), NARROW_LETTERS)
    above += max(pictures_height, beside)
    total = len(total_group(result, shown).rows)
    apart = not paper.begins_answers(above, total)
    return Report(
        title=result.case.title,
        paper=paper,
        block=tuple(block),
        verdict=summary.verdict,
        verdict_words=summary.verdict_words,
        summary=(summary.lines[1], *found) if apart else found,
        helps=tuple(helps),
        requirement=asked,
        section=section,
        current=current,
        answers=answer_groups(result, shown, paper.rows(above, total)),
        sentences=tuple(text for point in shown for text in _sentences(point)),
        front_pictures=tuple(p for one in second for p in _pictures(one, result, paper)),
        pictures=tuple(p for one in rest[:PICTURED] for p in _pictures(one, result, paper)),
        front_chapters=tuple(replace(c, sentences=()) if c.key == "limits" else c for c in front),
        chapters=tuple(c for c in result.chapters if c.key not in FRONT and c.is_told),
        details=tuple(table for point in shown for table in tables(point, result.case.length)),
        assumptions=tuple(_assumptions(result)),
        warnings=heading.warnings,
        cautions=heading.cautions,
        materials=_materials([solution.problem for solution in result.solutions.values()]),
        case=result.case.source.decode("utf-8", "replace"),
        version=heading.version,
        digest=heading.case_sha256,
        apart=apart,
        **({"counted": ROUND} if result.case.axial else {}),
    )


def _lines(texts: Iterable[str], letters: int) -> int:
    """How many lines some texts take."""
    return sum(1 + len(text) // letters for text in texts)


_BLOCK = (
    ("Project", "project"),
    ("Customer", "customer"),
    ("Date", "date"),
    ("Revision", "revision"),
    ("Prepared by", "prepared_by"),
)


def _in_order(
    pictures: Sequence[DrawnPicture],
) -> tuple[DrawnPicture | None, list[DrawnPicture], list[DrawnPicture]]:
    """The current for the first page, one for the second, the rest: those of chapters before those of frequencies."""
    current = next((one for one in pictures if one.name.startswith(FIRST)), None)
    second = [one for kind in SECOND for one in pictures if one.name.startswith(kind) and one is not current][:1]
    rest = [one for one in pictures if one is not current and one not in second]
    return current, second, _told_once(sorted(rest, key=lambda one: one.frequency is not None), second)


def _told_once(pictures: Sequence[DrawnPicture], before: Sequence[DrawnPicture]) -> list[DrawnPicture]:
    """Pictures with their messages, but for one that an earlier one of the same title has."""
    told = {(one.title, one.message) for one in before}
    found = []
    for one in pictures:
        said = one.title, one.message
        found.append(replace(one, message="") if said in told else one)
        told.add(said)
    return found


def _seen_first(
    first: DrawnPicture | None, result: Result, paper: Paper, above: float
) -> tuple[Picture, Picture | None]:
    """The section and the current, as large as the first page has room for below so many millimetres."""
    png = b"" if first is None else printed_part(first.png.read_bytes())
    wide, tall = png_size(png) if png else (10.0, 1.0)  # without a picture the section takes all the height it may
    height, width = paper.first_page(above, tall / wide)
    section = _section(result, (paper.first_picture, height))
    return section, None if first is None else _shown(first, result, png, width, "")


def _section(result: Result, room: tuple[float, float]) -> Picture:
    parts = result.case.problem().section.parts
    kind: Kind = "both halves" if result.case.axial else "plane"
    sheet = fitted_drawing(parts, "section", room, TEXT, kind)
    size = " x ".join(in_mm_and_thou(float(d)) for d in extent_of(parts, kind) / 1e3)
    shown = "The section, cut along the axis," if result.case.axial else "The section"
    names = ", ".join(part.name for part in parts[:NAMED])
    scale = float((np.array(room) / sheet.size).min())
    return Picture(
        as_svg(sheet).encode(),
        f"{shown} to scale; all of it measures {size}. Dimensions in mm (thou, or in where it says so), without "
        f"{'plating and serving' if result.case.served else 'plating'}.",
        f"Drawing of the cross-section with the conductors {names}",
        *(float(d) for d in scale * sheet.size),
    )


def _sentences(point: Answers) -> list[str]:
    return [f"{text} ({frequency_words(point.frequency)})" for text in sentences(point)]


def _pictures(one: DrawnPicture, result: Result, paper: Paper) -> list[Picture]:
    """A picture for half a page; of one that is too tall its pieces, or, where it has none, all of it to be read."""
    png = printed_part(one.png.read_bytes())
    number = paper.pieces(*png_size(png))
    cut = [png] if number == 1 else pieces(png, number)
    whole = len(cut) < number
    width = paper.whole_width(*png_size(png)) if whole else min(paper.picture_width(*png_size(piece)) for piece in cut)
    parts = [""] if len(cut) == 1 else [f" ({k} of {len(cut)})" for k in range(1, len(cut) + 1)]
    each = [one, *(replace(one, message="") for _ in cut[1:])]
    return [_shown(of, result, piece, width, part) for of, piece, part in zip(each, cut, parts, strict=True)]


def _shown(one: DrawnPicture, result: Result, png: bytes, width: float, part: str) -> Picture:
    """The caption says what the picture, or a part of it, shows and the message that goes with it."""
    wide, tall = png_size(png)
    caption = f"{one.title}{part}{': ' if one.message else ''}{one.message}."
    return Picture(png, caption, f"{one.title} of {result.case.title}"[:300] + part, width, width * tall / wide)


def _assumptions(result: Result) -> Iterable[str]:
    axial = result.case.axial
    if axial:
        yield "everything is round about the axis: turns are rings; pitch, leads and joints are not in the figures"
    else:
        yield "a straight run, long against its cross-section; ends, bends and joints are not in the figures"
    metals = (m for s in result.solutions.values() for c in s.problem.conductors for m in c.metals)
    curved = list(dict.fromkeys(metal.name for metal in metals if metal.magnetisation is not None))
    follows = f" but {few(curved)}, of a permeability that follows the crest of the field" if curved else ""
    yield f"sinusoidal steady state, linear metals{follows}, no displacement current"
    axes = "r to the right of the axis, z up along it, currents positive out of the page there" if axial else (
        "x to the right, y up, currents positive out of the page"
    )
    yield f"phasors are rms; {axes}"
    warm: dict[str, list[str]] = {}
    for frequency, solution in result.solutions.items():
        every = [(c.name, f"{c.temperature:.4g} degC") for c in solution.problem.conductors]
        alike = axial and len({at for _, at in every}) == 1
        rows = groupby(every, lambda one: (row_of(one[0]), one[1]))
        each = [f"{few([name for name, _ in row])} at {at}" for (_, at), row in rows]
        listed = f"all at {every[0][1]}" if alike else ", ".join(each)
        warm.setdefault(listed, []).append(concise(frequency, "Hz"))
    for listed, frequencies in warm.items():
        when = f" at {', '.join(frequencies)}" if len(warm) > 1 else ""
        yield f"temperatures{when}: {listed}"
    for circuit in result.case.problem().circuits:
        if circuit.sharing == "series" and circuit.turns > 1:
            yield f"the {circuit.turns} turns of {circuit.name} are in series: each carries all of its current"
        elif max(len(circuit.out), len(circuit.back)) > 1:
            how = "as their impedances say, joined alike at both ends" if circuit.sharing == "free" else "equally"
            yield f"the parallel conductors of {circuit.name} share the current {how}"
    found = [(p.coupled, c) for p in result.points for c in p.circuits.values()]
    bars = [c.own_resistance_error if coupled else c.resistance_error for coupled, c in found]
    worst = max((bar or 0.0 for bar in bars), default=0.0)
    if worst:
        yield (
            f"the resistances are known to {error_bar(worst)} or better for the section as drawn; the metal's "
            "conductivity, typically known to 1 or 2 %, and the tolerances of the parts come on top"
        )


def _materials(problems: Sequence[Problem]) -> TextTable:
    rows = {}
    for c in (c for problem in problems for c in problem.conductors):
        for metal in c.metals:
            rows[metal.name, f"{c.temperature:.4g}", metal.conductivity] = (
                metal.name,
                f"{c.temperature:.4g}",
                f"{metal.conductivity_at(c.temperature) / 1e6:.4g}",
                f"{permeability(metal.permeability, metal.permeability_loss)}"
                f"{'' if metal.magnetisation is None else ' at first'}",
                "-" if metal.density is None else f"{metal.density:.0f}",
                metal.source,
            )
    columns = ("metal", "at [degC]", "[MS/m]", "relative permeability", "density [kg/m3]", "source")
    return TextTable("Metals as they entered the computation", columns, tuple(rows.values()))
