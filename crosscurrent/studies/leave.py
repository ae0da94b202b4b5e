"""The files of a study: study.json, designs.csv, pictures, and the best design as an ordinary result."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

from crosscurrent import __version__
from crosscurrent.casefile.case import Case
from crosscurrent.casefile.quantities import write_quantity
from crosscurrent.casefile.rewritten import in_the_words_of
from crosscurrent.casefile.units import DIMENSIONS
from crosscurrent.casefile.variables import NUMBER
from crosscurrent.postprocess.answers.axial_names import axial_names
from crosscurrent.postprocess.answers.chapter import Chapter, Json
from crosscurrent.postprocess.files.indented_json import indented_json
from crosscurrent.run import solve_case, write_result

from .design import Design
from .plan import SEED, Choice, Plan, Range
from .run import Study
from .shown import draw, pictures
from .table import write_tables
from .trial import made
from .words import counted, sentences, tables

FORMAT = "crosscurrent-study/1"
DIGITS = 8  # of a value in the case file of the best design


def leave(study: Study, folder: Path, *, report: bool = False) -> None:
    """Write all files of a study into an empty folder, its best design with the study as a chapter of its report."""
    (folder / "study.json").write_text(indented_json(record(study)) + "\n", encoding="utf-8")
    write_tables(folder, study.designs, units_of(study.plan), axial=study.plan.question.axial)
    draw(study, folder / "pictures")
    if study.best is not None:
        found = solve_case(_best_case(study, study.best))
        write_result(replace(found, chapters=(*found.chapters, chapter_of(study))), folder / "best", report=report)


def chapter_of(study: Study) -> Chapter:
    """The study as a chapter of the report on its best design."""
    words = tuple(sentences(study))
    return Chapter("study", "Study", record(study), tuple(tables(study)), words, pictures=pictures(study))


def _best_case(study: Study, best: Design) -> Case:
    values = {key: float(f"{v:.{DIGITS}g}") if isinstance(v, float) else v for key, v in best.values.items()}
    case = made(study.source, values, study.plan.orders or study.plan.question.orders)
    return in_the_words_of(case, study.source) if isinstance(study.source, Case) else case


def units_of(plan: Plan) -> dict[str, str]:
    """SI units of what varies, as headings of tables end in them."""
    dimensions = {**plan.dimensions, **{r.key: r.dimension for r in plan.ranges}}
    return {key: DIMENSIONS[of].si.replace("/", "_per_") for key, of in dimensions.items() if of != NUMBER}


def record(study: Study) -> dict[str, Json]:
    """The numbers of a study, as study.json holds them."""
    plan, source = study.plan, study.source
    orders = plan.orders or plan.question.orders
    head: dict[str, Json] = {"format": FORMAT, "version": __version__}
    if isinstance(source, Case):
        head |= {"title": source.title, "case_sha256": hashlib.sha256(source.source).hexdigest()}
    found = head | {
        "in_words": list(sentences(study)),
        "method": method(plan),
        "seed": SEED,
        "wanted": list(plan.question.aims),
        "frequency_hz": plan.question.frequency,
        "circuit": plan.question.circuit,
        "ranges": [_range(r) for r in plan.ranges],
        "choices": [_choice(c) for c in plan.choices],
        "orders": None if orders is None else {"of": orders.of, "circuits": list(orders.circuits)},
        "best": None if study.best is None else _design(study.best),
        "at_edge": dict(study.edges),
        "nearby": {key: [None if d is None else _design(d) for d in pair] for key, pair in study.nearby.items()},
        "front": [_design(d) for d in study.front],
        "slopes": {} if study.best is None else {k: dict(v) for k, v in study.best.slopes.items()},
        "counts": _counts(study),
    }
    return axial_names(found, whole=True) if plan.question.axial else found


def method(plan: Plan) -> str:
    """How designs were chosen, in words."""
    if plan.orders is not None:
        return "all orders from one impedance matrix"
    ways = {0: "every alternative", 1: "even steps over the range", 2: "an even grid over both ranges"}
    spread = ways.get(len(plan.ranges), "a scrambled Sobol fill of all ranges")
    looked = "; sequential quadratic programming with slopes from the field" if plan.ranges else ""
    within = "; each in its best order of phases, from its own impedance matrix" if plan.question.orders else ""
    return f"{spread}{looked}{within}"


def _choice(c: Choice) -> dict[str, Json]:
    return {"key": c.key, "options": [{"is": o.label, "values": dict(o.values)} for o in c.options]}


def _range(r: Range) -> dict[str, Json]:
    text = {} if r.dimension == NUMBER else {
        "from": write_quantity(r.low, r.dimension), "to": write_quantity(r.high, r.dimension)}  # fmt: skip
    return {"key": r.key, "low": r.low, "high": r.high, "dimension": r.dimension, "by_ratios": r.by_ratios, **text}


def _design(d: Design) -> dict[str, Json]:
    mappings: dict[str, Mapping[str, float | int | str]] = {
        "values": d.values, "figures": d.figures, "errors": d.errors, "margins": d.margins}  # fmt: skip
    return {**{name: dict(of) for name, of in mappings.items()}, "verdict": d.verdict, "fault": d.fault or None}


def _counts(study: Study) -> dict[str, Json]:
    found = {"designs": 0, "faults": 0, "pass": 0, "fail": 0, "cannot tell": 0, "none stated": 0}
    for design in study.designs:
        found["designs"] += 1
        found["faults" if design.fault else design.verdict] += 1
    return {**found, "starts": study.searches, "in_words": counted(study)}
