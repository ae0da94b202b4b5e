"""A study as the plain data that its pictures are made of, and the pictures."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from crosscurrent.casefile.case import Case
from crosscurrent.casefile.units import DIMENSIONS
from crosscurrent.casefile.variables import NUMBER, as_written
from crosscurrent.geometries.arrays import FloatArray
from crosscurrent.postprocess.answers.units import frequency_words
from crosscurrent.postprocess.pictures.study.data import (
    DesignAt,
    DesignGroup,
    PhaseOrder,
    SearchPath,
    StudyDesigns,
    StudyLimit,
    StudyScale,
)

from .design import Design
from .orders import ORDER
from .plan import FIGURES, Alternative, Choice, Plan
from .run import Study, least_of_each, together
from .words import named, unit

if TYPE_CHECKING:
    from matplotlib.figure import Figure

ALSO = ("loss", "inductance", "temperature", "mass")  # figures that are shown beside those wanted
PANELS = 4
LEAKAGE = "leakage"


@dataclass(frozen=True)
class _Across:
    """What runs along the axes of a picture, the ranges or a count that a choice steps through; and what is left."""

    scales: tuple[StudyScale, ...]
    alternatives: tuple[tuple[Alternative, ...], ...]

    @classmethod
    def of(cls, plan: Plan) -> _Across:
        steps = None if plan.ranges else next((c for c in plan.choices if _counts(c)), None)
        if steps is None:
            found = tuple(_scale(r.key, r.dimension, by_ratios=r.by_ratios) for r in plan.ranges)
            return cls(found, tuple(plan.combinations()))
        (key,) = steps.options[0].values
        others = [choice.options for choice in plan.choices if choice is not steps]
        return cls((_scale(key, plan.dimensions.get(key, NUMBER)),), tuple(itertools.product(*others)))


def _scale(key: str, dimension: str, *, by_ratios: bool = False) -> StudyScale:
    return StudyScale(key, "" if dimension == NUMBER else DIMENSIONS[dimension].si, by_ratios)


def _counts(choice: Choice) -> bool:
    """Whether a choice is of one figure, which can run along an axis."""
    values = [value for option in choice.options for value in option.values.values()]
    return len(values) == len(choice.options) and not any(isinstance(value, str) for value in values)


def pictures(study: Study) -> dict[str, Callable[[], Figure]]:
    """By name: alternatives in order, a curve over one range, maps over two, a panel each for more, a front, orders."""
    from crosscurrent.postprocess.pictures.study.curve import curve_figure
    from crosscurrent.postprocess.pictures.study.front import front_figure
    from crosscurrent.postprocess.pictures.study.map import map_figure
    from crosscurrent.postprocess.pictures.study.order import order_figure
    from crosscurrent.postprocess.pictures.study.ranked import ranked_figure
    from crosscurrent.postprocess.pictures.study.spread_out import spread_figure

    plan, aims = study.plan, study.plan.question.aims
    title = study.source.title if isinstance(study.source, Case) else getattr(study.source, "__name__", "study")
    subject = f"{len(list(study.designs))} designs · {frequency_words(plan.question.frequency)}"
    if plan.orders is not None:
        aim = aims[0]
        orders = [PhaseOrder(tuple(str(d.values[ORDER]).split(" ")), d.figures[FIGURES[aim]]) for d in study.designs]
        scale = StudyScale(aim, unit(aim, plan))
        drawn: dict[str, Callable[[], Figure]] = {"orders": partial(order_figure, orders, scale, title, subject)}
        if len(aims) == 2:
            drawn["trade-off"] = partial(front_figure, *_orders(study), title, subject)
        return drawn
    designs, places = data(study)
    found: dict[str, Callable[[], Figure]] = {}
    if not designs.varied:
        found["ranked"] = partial(ranked_figure, designs, title, subject)
    if len(designs.varied) == 1:
        curved, _ = _in_order_of(study, aims[0])
        found[f"over-{_file(designs.varied[0].label)}"] = partial(curve_figure, _coupled(curved), title, subject)
    if len(designs.varied) == 2:
        for number, aim in enumerate(aims):
            name = f"map-{aim.replace('_', '-')}"
            mapped, at = _in_order_of(study, aim)
            searches = [path for way in study.ways.get(aim, ()) if (path := _path(way, mapped, at))]
            found[name] = partial(map_figure, mapped, number, searches, title, named(aim, plan))
    if len(designs.varied) > 2:
        for number, aim in enumerate(aims):
            spread, _ = _in_order_of(study, aim)
            name = f"each-{aim.replace('_', '-')}"
            found[name] = partial(spread_figure, spread, number, _at_best(study, aim), title, subject)
    if len(aims) == 2:
        front = [places[d.key] for d in study.front]
        found["trade-off"] = partial(front_figure, designs, front, title, subject)
    return found


def _coupled(designs: StudyDesigns) -> StudyDesigns:
    """With the coupling factor itself in place of what lacks to 1, which a curve over a gap is read for."""
    column = next((k for k, scale in enumerate(designs.figures) if scale.label == LEAKAGE), None)
    if column is None:
        return designs
    way = np.where(np.arange(len(designs.figures)) == column, -1.0, 1.0)
    scales = (replace(s, label="coupling factor") if s.label == LEAKAGE else s for s in designs.figures)
    groups = (
        replace(
            g, figures=way * g.figures + (way < 0),
            figure_slopes=None if g.figure_slopes is None else way[:, None] * g.figure_slopes,
        )
        for g in designs.groups
    )  # fmt: skip
    return replace(designs, groups=tuple(groups), figures=tuple(scales))


def _at_best(study: Study, aim: str) -> list[float]:
    """Slopes of a figure over every range at the best design; NaN where not known."""
    slopes = {} if study.best is None else study.best.slopes.get(FIGURES[aim], {})
    return [slopes.get(one.key, np.nan) for one in study.plan.ranges]


def _in_order_of(study: Study, aim: str) -> tuple[StudyDesigns, Mapping[str, DesignAt]]:
    """The designs, each in its best order for an aim where orders vary too."""
    if study.plan.question.orders is None:
        return data(study)
    own = least_of_each(study.designs, aim)
    best = study.best if study.best is not None and any(d.key == study.best.key for d in own) else None
    return data(replace(study, designs=own, best=best))


def _orders(study: Study) -> tuple[StudyDesigns, list[DesignAt]]:
    """Orders by two figures: those of the front by their words, all others together."""
    on_front = {d.key for d in study.front}
    others = [d for d in study.designs if d.key not in on_front]
    groups = [_group("other orders", others, (), study.plan.question.aims, ())]
    groups += [_group(str(d.values[ORDER]), [d], (), study.plan.question.aims, ()) for d in study.front]
    scales = tuple(StudyScale(aim, unit(aim, study.plan)) for aim in study.plan.question.aims)
    return StudyDesigns(tuple(groups), (), scales), [DesignAt(k + 1, 0) for k in range(len(study.front))]


def _path(way: Sequence[Design], designs: StudyDesigns, places: Mapping[str, DesignAt]) -> SearchPath | None:
    """Where a search went; None where none of its designs could be solved."""
    at = [places[d.key] for d in way if d.key in places and not d.fault]
    if not at:
        return None
    return SearchPath(at[0].group, np.array([designs.groups[one.group].values[one.row] for one in at]))


def draw(study: Study, folder: Path) -> None:
    """Leave them as PNG and SVG."""
    from crosscurrent.postprocess.pictures.style import own_style, save

    folder.mkdir()
    with own_style():
        for name, figure in pictures(study).items():
            save(figure(), folder / name)


def data(study: Study) -> tuple[StudyDesigns, Mapping[str, DesignAt]]:
    """All designs in groups of one alternative each, and where each design is found."""
    plan = study.plan
    across = _Across.of(plan)
    alternatives = across.alternatives
    found: list[list[Design]] = [[] for _ in alternatives]
    for design in study.designs:
        found[_number(design, alternatives)].append(design)
    every = [d for group in found for d in group]
    aims = [aim for aim in dict.fromkeys((*plan.question.aims, *ALSO)) if any(FIGURES[aim] in d.figures for d in every)]
    aims = aims[:PANELS]
    limits = list(dict.fromkeys(name for d in every for name in d.margins))
    places = {d.key: DesignAt(k, row) for k, group in enumerate(found) for row, d in enumerate(group)}
    keys = [scale.label for scale in across.scales]
    groups = [_group(_label(a), group, keys, aims, limits) for a, group in zip(alternatives, found, strict=True)]
    return StudyDesigns(
        tuple(groups),
        across.scales,
        tuple(StudyScale(aim.replace("_", " "), unit(aim, plan)) for aim in aims),
        tuple(_limit(name, study, aims) for name in limits),
        None if study.best is None else places[study.best.key],
    ), places  # fmt: skip


def _number(design: Design, alternatives: Sequence[tuple[Alternative, ...]]) -> int:
    """Which alternative a design is of."""
    return next(
        k for k, some in enumerate(alternatives) if all(design.values[key] == v for key, v in together(some).items())
    )


def _label(alternatives: Sequence[Alternative]) -> str:
    return ", ".join(one.label for one in alternatives)


def _group(
    name: str, designs: Sequence[Design], varied: Sequence[str], aims: Sequence[str], limits: Sequence[str]
) -> DesignGroup:
    keys = [FIGURES[aim] for aim in aims]

    def table(rows: Sequence[Sequence[float]], width: int) -> np.ndarray[tuple[int, int], np.dtype[np.float64]]:
        return np.array(rows, dtype=float).reshape(len(designs), width)

    def slopes(of: Sequence[str]) -> FloatArray:
        found = [d.slopes.get(key, {}).get(value, np.nan) for d in designs for key in of for value in varied]
        return np.array(found, dtype=float).reshape(len(designs), len(of), len(varied))

    return DesignGroup(
        name,
        table([[float(d.values[key]) for key in varied] for d in designs], len(varied)),
        table([[d.figures.get(key, np.nan) for key in keys] for d in designs], len(keys)),
        table([[d.errors.get(key, np.nan) for key in keys] for d in designs], len(keys)),
        table([[d.margins.get(limit, np.nan) for limit in limits] for d in designs], len(limits)),
        slopes([f"margin {limit}" for limit in limits]),
        slopes(keys),
    )


def _limit(name: str, study: Study, aims: Sequence[str]) -> StudyLimit:
    """A limit by its words and, where its figure is shown, its value."""
    words = name.replace("_", " ")
    if isinstance(study.source, Case):
        words = f"{words} at most {as_written(study.source)['limits'][name]}"
    if name not in aims or not isinstance(study.source, Case) or study.source.data.limits is None:
        return StudyLimit(words)
    return StudyLimit(words, aims.index(name), study.source.data.limits.stated[name])


def _file(key: str) -> str:
    return "".join(c if c.isalnum() else "-" for c in key)
