"""The words, table and record of bundles: their strands, what they fill, and what was taken by trade practice."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from crosscurrent.postprocess.answers.answers import Answers
from crosscurrent.postprocess.answers.bundles import in_words
from crosscurrent.postprocess.answers.chapter import Json
from crosscurrent.postprocess.answers.tables import TextTable
from crosscurrent.postprocess.answers.units import concise, engineering
from crosscurrent.solver.metals.strands import Strands

_LAYS = {
    "transposed": "transposed, every one with the same current",
    "concentric": "in concentric lay, alike in each ring",
    "straight": "straight, joined at both ends only",
}


@dataclass(frozen=True)
class BundleAnswer:
    """One bundle of the case; its copies are alike.

    Attributes
    ----------
    name : str
    strands : Strands
    insulated : float
        Diameter of a strand over its insulation [m].
    area : float
        Of the outline over the strands [m2].
    outer, serving : float or None
        Diameter over the strands, where it is round, and thickness of what is around [m].
    resolved : bool
        Whether each strand was solved for.
    resistance : float
        To direct current, at the temperature that the case states [ohm/m].
    assumed : tuple of str
        What was taken by trade practice.
    """

    name: str
    strands: Strands
    insulated: float
    area: float
    outer: float | None
    serving: float | None
    resolved: bool
    resistance: float
    assumed: tuple[str, ...]

    @property
    def fill(self) -> float:
        """Metal over the area of the outline."""
        return self.strands.copper / self.area

    @property
    def over_all(self) -> float | None:
        """Diameter of a round bundle with its serving [m]."""
        return None if self.outer is None else self.outer + 2 * (self.serving or 0.0)


def record(found: Sequence[BundleAnswer]) -> dict[str, Json]:
    """The numbers of the chapter, by conductor."""
    return {
        one.name: {
            "strands": one.strands.count,
            "construction": list(one.strands.levels),
            "strand_diameter_m": one.strands.diameter,
            "insulated_diameter_m": one.insulated,
            "outer_diameter_m": one.outer,
            "over_serving_m": one.over_all,
            "copper_area_m2": one.strands.copper,
            "fill": one.fill,
            "take_up": one.strands.take_up,
            "lay": one.strands.lay,
            "resolved": one.resolved,
            "dc_resistance_ohm_per_m": one.resistance,
            "assumed": list(one.assumed),
        }
        for one in found
    }


def table(found: Sequence[BundleAnswer]) -> TextTable:
    """Strands and sizes of every bundle."""
    columns = ("bundle", "strands", "of [mm]", "insulated [mm]", "over them [mm]", "with serving [mm]", "metal [mm2]",
               "filling", "take-up", "R at rest")  # fmt: skip
    return TextTable("Strands and sizes", columns, tuple(_row(one) for one in found))


def _row(one: BundleAnswer) -> tuple[str, ...]:
    groups = " x ".join(map(str, one.strands.levels)) or str(one.strands.count)
    sizes = (one.strands.diameter, one.insulated, one.outer, one.over_all if one.serving else None)
    lengths = ("-" if size is None else f"{size * 1e3:.4g}" for size in sizes)
    share = f"{100 * one.fill:.3g} %"
    return (one.name, groups, *lengths, f"{one.strands.copper * 1e6:.4g}", share, f"{one.strands.take_up:.4g}",
            engineering(one.resistance, "ohm/m", 4))  # fmt: skip


def by_cause(point: Answers) -> Iterator[str]:
    """What bundles lose by cause at one frequency, and what their lay leaves open; those alike in one sentence."""
    said: dict[str, list[str]] = {}
    for bundle in sorted(point.bundles.values(), key=lambda b: -float(f"{b.loss:.3g}")):
        for line in in_words(bundle):
            said.setdefault(line, []).append(bundle.name)
    for line, names in said.items():
        yield f"{', '.join(names)} at {concise(point.frequency, 'Hz')}: {line}"


def sentences(found: Sequence[BundleAnswer]) -> Iterator[str]:
    """What they are, and what was taken; bundles that are alike in one sentence."""
    for say in (_assumed, _described):
        said: dict[str, list[str]] = {}
        for one in found:
            said.setdefault(say(one), []).append(one.name)
        for text, names in said.items():
            if text:
                yield f"{', '.join(names)}: {text}"


def _assumed(one: BundleAnswer) -> str:
    return f"not stated, taken by trade practice: {'; '.join(one.assumed)}" if one.assumed else ""


def _described(one: BundleAnswer) -> str:
    how = "each solved for" if one.resolved else "as one medium"
    return f"{one.strands.count} strands, {_LAYS[one.strands.lay]}, {how}; metal fills {100 * one.fill:.3g} %"
