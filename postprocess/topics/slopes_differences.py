"""The words, table and record of slopes by differences: figures that have no exact slope."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from crosscurrent.postprocess.answers.chapter import Json
from crosscurrent.postprocess.answers.tables import TextTable
from crosscurrent.postprocess.answers.units import engineering, frequency_words

MM = 1e-3
LISTED = 24  # rows of a table
SAID = 3  # figures of the case in a sentence


@dataclass(frozen=True)
class FigureSlope:
    """How one figure of the answers changes with one figure of the case, per SI unit of that.

    Attributes
    ----------
    key : str
        The figure of the case.
    value : float
        What it is [SI].
    unit : str
    what, of : str
        The figure of the answers, and whose it is.
    frequency : float or None [Hz]
    of_unit : str
        Its unit.
    now, slope, error : float
    """

    key: str
    value: float
    unit: str
    what: str
    of: str
    frequency: float | None
    of_unit: str
    now: float
    slope: float
    error: float

    @property
    def per_cent(self) -> float:
        """Change for one per cent more of the figure of the case, in the unit of the other."""
        return 0.01 * self.value * self.slope


@dataclass(frozen=True)
class DifferencesAnswer:
    """What was asked.

    Attributes
    ----------
    found : sequence of FigureSlope
    without : mapping of str to str
        Figures of the case for which there is none, and why.
    step : float
        By how much of itself each was less and more.
    """

    found: Sequence[FigureSlope]
    without: Mapping[str, str]
    step: float


def record(answer: DifferencesAnswer) -> dict[str, Json]:
    """The numbers of the chapter."""
    rows: list[Json] = [
        {
            "key": one.key, "value_si": one.value, "unit": one.unit, "figure": one.what, "of": one.of or None,
            "frequency_hz": one.frequency, "figure_unit": one.of_unit, "figure_value": one.now,
            "slope_per_si": one.slope, "slope_error": one.error,
        }
        for one in answer.found
    ]  # fmt: skip
    without: dict[str, Json] = dict(answer.without)
    return {"method": "central differences", "step": answer.step, "slopes": rows, "without_slope": without}


def tables(answer: DifferencesAnswer) -> Iterator[TextTable]:
    """One for each figure of the answers, what matters most first."""
    kinds = dict.fromkeys((one.what, one.of, one.frequency) for one in answer.found)
    for what, of, frequency in kinds:
        own = [one for one in answer.found if (one.what, one.of, one.frequency) == (what, of, frequency)]
        own = sorted(filter(_stands_out, own), key=lambda one: -abs(one.per_cent))
        if not own:
            continue
        title = " ".join(filter(None, (what, of and f"of {of}")))
        at = "" if frequency is None else f", {frequency_words(frequency)}"
        yield TextTable(
            f"{title[0].upper()}{title[1:]} by differences{at}", ("figure", "one per cent more", "one mm more", "+-"),
            tuple(
                (one.key, _change(one, 0.01 * one.value), _change(one, MM) if one.unit == "m" else "-", _error(one))
                for one in own[:LISTED]
            ),
        )  # fmt: skip


def _stands_out(one: FigureSlope) -> bool:
    return abs(one.slope) > one.error


def _change(one: FigureSlope, by: float) -> str:
    return _said(by * one.slope, one.of_unit) if by else "-"


def _error(one: FigureSlope) -> str:
    return f"{100 * abs(one.error / one.slope):.2g} %"


def _said(value: float, unit: str) -> str:
    if unit in ("degC", "K"):
        return f"{value:+.3g} K"
    return f"{'+' if value > 0 else ''}{engineering(value, unit, 3).strip()}"


def sentences(answer: DifferencesAnswer) -> Iterator[str]:
    """What matters most for each figure of the answers, how that was found, and where it could not be."""
    for what, frequency in dict.fromkeys((one.what, one.frequency) for one in answer.found):
        own = (one for one in answer.found if (one.what, one.frequency) == (what, frequency))
        sure = sorted((one for one in own if one.value and _stands_out(one)), key=lambda one: -abs(one.per_cent))
        if sure:
            said = ", ".join(
                f"{one.key} {_change(one, 0.01 * one.value)}{one.of and f' of {one.of}'} (+- {_error(one)})"
                for one in sure[:SAID]
            )
            at = "" if frequency is None else f"at {frequency_words(frequency)}, "
            yield f"{at}one per cent more of each changes the {what} by differences by: {said}"
    if answer.found:
        yield (
            f"by differences: each figure {100 * answer.step:g} % less and more, solved anew, whatever follows from it "
            "included; the bars hold how far the two halves differ; what does less than its bar is left out"
        )
    for key, why in answer.without.items():
        yield f"{key} has none: a little more or less of it makes no sound case ({why})"
