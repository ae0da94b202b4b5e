"""From a solved case to the report for a customer."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from ..postprocess.answers import Answers, CircuitAnswer, ConductorAnswer
from ..postprocess.customary import customary
from ..postprocess.drawing import section_svg
from ..postprocess.report import Group, Picture, Report, Row
from ..postprocess.tables import TextTable, sentences, tables
from ..postprocess.units import concise, engineering, error_bar, frequency_tag, in_mm_and_thou
from ..solver.problem import Problem
from .base import Table

if TYPE_CHECKING:
    from .run import Result

SHOWN = 3  # frequencies in the table of answers; the appendix and the files have all
PICTURED = 10  # pictures in the appendix; the folder has all
CONDUCTORS = 6  # conductors in the table of answers; all of them are in the appendix
FRONT = ("limits", "hand_formula")  # chapters of the second page
FRONT_PICTURES = ("sweep", "current-density")  # the second page has room for the first there is


class Block(Table):
    """The title block of a report, and the requirement in the customer's words."""

    project: str = ""
    customer: str = ""
    date: str = ""
    revision: str = ""
    prepared_by: str = ""
    requirement: str = ""


def report_of(result: Result, pictures: Iterable[Path]) -> Report:
    """The report of a result.

    Parameters
    ----------
    result : Result
    pictures : iterable of Path
        The PNG files among them are shown, in this order.
    """
    problem = result.case.problem()
    shown = [result.at(f) for f in list(result.solutions)[:SHOWN]]
    heading, head = result.heading, result.case.data.report
    drawn = [path for path in pictures if path.suffix == ".png"]
    front = [path for stem in FRONT_PICTURES for path in drawn if path.stem.startswith(stem)][:1]
    asked = {stem for chapter in result.chapters for stem in chapter.pictures}
    rest = sorted((path for path in drawn if path not in front), key=lambda path: path.stem not in asked)
    named = [(label, getattr(head, key)) for label, key in _BLOCK]
    return Report(
        title=result.case.title,
        block=tuple(named),
        requirement=tuple(_requirement(result, head.requirement)),
        section=_section(problem),
        answers=tuple(group for p in shown for group in _answers(p, result.case.length, alone=len(shown) == 1)),
        sentences=tuple(text for point in shown for text in _sentences(point)),
        front_pictures=tuple(_picture(path, result) for path in front),
        pictures=tuple(_picture(path, result) for path in rest[:PICTURED]),
        front_chapters=tuple(c for c in result.chapters if c.key in FRONT),
        chapters=tuple(c for c in result.chapters if c.key not in FRONT),
        details=tuple(table for point in shown for table in tables(point, result.case.length)),
        assumptions=tuple(_assumptions(result)),
        warnings=heading.warnings,
        cautions=heading.cautions,
        materials=_materials([solution.problem for solution in result.solutions.values()]),
        case=result.case.source.decode("utf-8", "replace"),
        version=heading.version,
        digest=heading.case_sha256,
    )


_BLOCK = (
    ("Project", "project"),
    ("Customer", "customer"),
    ("Date", "date"),
    ("Revision", "revision"),
    ("Prepared by", "prepared_by"),
)


def _requirement(result: Result, words: str) -> Iterable[tuple[str, str]]:
    if words:
        yield "asked for", words
    for circuit in result.case.problem().circuits:
        angle = math.degrees(math.atan2(circuit.current.imag, circuit.current.real))
        phase = f" at {angle:.4g} deg" if abs(angle) > 1e-9 else ""
        back = f", back through {', '.join(circuit.back)}" if circuit.back else ""
        amount = concise(abs(circuit.current), "A")
        yield f"current of {circuit.name}", f"{amount} rms{phase}, out through {', '.join(circuit.out)}{back}"
    data = result.case.data.frequency
    if data.at:
        yield "frequency", ", ".join(concise(f, "Hz") for f in data.at)
    if data.sweep:
        ends = f"{concise(data.sweep.start, 'Hz')} to {concise(data.sweep.to, 'Hz')}"
        yield "sweep", f"{ends}, {data.sweep.points} points"
    if result.case.length is not None:
        yield "length of the run", f"{concise(result.case.length, 'm')} ({result.case.length / 0.3048:.4g} ft)"
    ambient = result.case.data.ambient
    yield "ambient", f"{ambient:g} degC ({customary(ambient, 'degC')})"


def _section(problem: Problem) -> Picture:
    low, high = problem.section.bounds
    size = " x ".join(in_mm_and_thou(float(d)) for d in high - low)
    names = ", ".join(c.name for c in problem.conductors[:CONDUCTORS])
    return Picture(
        section_svg(problem.section).encode(),
        f"The section to scale; all of it measures {size}.",
        f"Drawing of the cross-section with the conductors {names}",
    )


def _answers(point: Answers, length: float | None, *, alone: bool) -> Iterable[Group]:
    """Every figure of one circuit with two conductors at one frequency; of more the main ones, to fit a page."""
    at = "direct current" if point.frequency == 0 else concise(point.frequency, "Hz")
    for circuit in point.circuits.values():
        rows = tuple(_circuit(circuit, length))
        main = ("resistance", "inductance", "loss")
        kept = rows if alone and len(point.circuits) == 1 else tuple(row for row in rows if row.name in main)
        yield Group(f"circuit {circuit.name} at {at} ({abs(circuit.current):.4g} A, loop)", kept)
    conductors = list(point.conductors.values())
    if alone and len(conductors) <= 2:
        for conductor in conductors:
            yield Group(f"conductor {conductor.name} at {at}", tuple(_conductor(conductor)))
    else:
        losses = [_row(f"loss of {c.name}", c.loss, "W/m", c.loss_error) for c in conductors[:CONDUCTORS]]
        if len(conductors) > CONDUCTORS:
            losses.append(Row(f"and of {len(conductors) - CONDUCTORS} more", "see the appendix"))
        yield Group(f"conductors at {at}", (*losses, _row("loss of all together", point.total_loss, "W/m")))


def _row(name: str, value: float | None, unit: str, bar: float | None = None, digits: int = 4) -> Row:
    return Row(name, engineering(value, unit, digits), customary(value, unit, digits), error_bar(bar) if bar else "")


def _circuit(c: CircuitAnswer, length: float | None) -> Iterable[Row]:
    yield _row("resistance", c.resistance, "ohm/m", c.resistance_error, 5)
    if c.resistance_ratio is not None:
        yield Row("over that of direct current", f"{c.resistance_ratio:.4g}")
    yield _row("inductance", c.inductance, "H/m", c.inductance_error, 5)
    yield _row("voltage", abs(c.voltage), "V/m")
    yield _row("loss", c.loss, "W/m", c.resistance_error)
    if length is not None:
        yield _row(f"total voltage over {length:g} m", abs(c.voltage) * length, "V")
        yield _row(f"total loss over {length:g} m", c.loss * length, "W", c.resistance_error)


def _conductor(c: ConductorAnswer) -> Iterable[Row]:
    yield _row("current", abs(c.current), "A") if c.loss_ratio is not None else Row("current", "induced")
    yield _row("loss", c.loss, "W/m", c.loss_error)
    if c.skin_depth is not None:
        yield Row("skin depth", f"{c.skin_depth * 1e3:.3g} mm", customary(c.skin_depth, "m", 3))
    yield Row(
        "largest current density",
        f"{c.peak_current_density / 1e6:.4g} A/mm2",
        customary(c.peak_current_density, "A/m2"),
    )
    force = math.hypot(*c.force)
    if force > c.force_error:
        yield _row("force (time average)", force, "N/m", c.force_error / force, 3)


def _sentences(point: Answers) -> list[str]:
    at = "direct current" if point.frequency == 0 else concise(point.frequency, "Hz")
    return [f"{text} ({at})" for text in sentences(point)]


def _picture(path: Path, result: Result) -> Picture:
    """The caption says what the picture shows and the message that goes with it."""
    stem = path.stem
    chapter = next((c for c in result.chapters if stem in c.pictures), None)
    if chapter:
        title, message = chapter.title, "".join(chapter.sentences[:1])
    else:
        point = next(result.at(f) for f in result.solutions if stem.endswith(f"-{frequency_tag(f)}"))
        title, message = _shown(stem, point)
    text = f"{title}{': ' if message else ''}{message}."
    return Picture(path.read_bytes(), text, f"{title} of {result.case.title}"[:300])


def _shown(stem: str, point: Answers) -> tuple[str, str]:
    """What a picture of one frequency shows, and what it says of the conductor with the largest loss."""
    at = "direct current" if point.frequency == 0 else concise(point.frequency, "Hz")
    worst = max(point.conductors.values(), key=lambda c: c.loss)
    dense = f"{worst.peak_current_density / 1e6:.3g} A/mm2"
    inductances = [f"{c.name} {engineering(c.inductance, 'H/m')}" for c in point.circuits.values() if c.inductance]
    titles = {
        "current-density": ("Current density", f"{worst.name}, {worst.sentence}"),
        "phase": ("Phase of the current density", "light where there is next to no current"),
        "flux-lines": ("Flux lines and field", f"inductance of {', '.join(inductances[:CONDUCTORS])}"),
        "along-outline": ("Current density along each outline, unrolled", f"up to {dense} in {worst.name}"),
    }
    title, message = next(words for kind, words in titles.items() if stem.startswith(kind))
    return f"{title} at {at}", message


def _assumptions(result: Result) -> Iterable[str]:
    yield "a straight run, long against its cross-section; ends, bends and joints are not in the figures"
    yield "sinusoidal steady state, linear metals, no displacement current"
    yield "phasors are rms; x to the right, y up, currents positive out of the page"
    warm: dict[str, list[str]] = {}
    for frequency, solution in result.solutions.items():
        listed = ", ".join(f"{c.name} at {c.temperature:.4g} degC" for c in solution.problem.conductors)
        warm.setdefault(listed, []).append(concise(frequency, "Hz"))
    for listed, frequencies in warm.items():
        when = f" at {', '.join(frequencies)}" if len(warm) > 1 else ""
        yield f"temperatures{when}: {listed}"
    for circuit in result.case.problem().circuits:
        if max(len(circuit.out), len(circuit.back)) > 1:
            how = "as their impedances say, joined alike at both ends" if circuit.sharing == "free" else "equally"
            yield f"the parallel conductors of {circuit.name} share the current {how}"
    worst = max((c.resistance_error or 0.0 for p in result.points for c in p.circuits.values()), default=0.0)
    if worst:
        yield (
            f"the resistances are known to {error_bar(worst)} or better for the section as drawn; the metal's "
            "conductivity, typically known to 1 or 2 %, and the tolerances of the parts come on top"
        )


def _materials(problems: Sequence[Problem]) -> TextTable:
    rows = {}
    for c in (c for problem in problems for c in problem.conductors):
        for metal in c.metals:
            rows[metal.name, f"{c.temperature:.4g}"] = (
                metal.name,
                f"{c.temperature:.4g}",
                f"{metal.conductivity_at(c.temperature) / 1e6:.4g}",
                f"{metal.permeability:g}",
                "-" if metal.density is None else f"{metal.density:.0f}",
                metal.source,
            )
    columns = ("metal", "at [degC]", "[MS/m]", "relative permeability", "density [kg/m3]", "source")
    return TextTable("Metals as they entered the computation", columns, tuple(rows.values()))
