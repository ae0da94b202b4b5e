"""What tolerances make of the verdict: limits that hold as drawn up, but not wherever the causes lie."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from crosscurrent.postprocess.answers.chapter import Chapter, Json
from crosscurrent.postprocess.answers.units import frequency_words

SURE = 100  # per cent


def within_tolerances(judged: Chapter | None, spread: Chapter | None) -> Chapter | None:
    """The chapter on limits, its verdict that within all tolerances.

    A limit that holds as drawn up and in half of the draws neither holds nor fails: nobody can tell of a single piece.

    Examples
    --------
    >>> rows = [{"limit": "loss", "of": None, "frequency_hz": 50.0, "passes": "in 48 %", "passes_at_least_percent": 48}]
    >>> limits = Chapter("limits", "", {"verdict": "pass", "limits": [{"limit": "loss"}]}, (), ("the limit holds",))
    >>> found = within_tolerances(limits, Chapter("tolerance", "", {"limits": rows}, (), ()))
    >>> found.record["verdict"], found.sentences[0]
    ('cannot tell', 'as drawn up the limit holds; within tolerances not always: loss at 50 Hz in 48 %')
    """
    rows = [] if spread is None else spread.record.get("limits")
    if judged is None or judged.record["verdict"] != "pass" or not isinstance(rows, list) or not rows:
        return judged
    kept = [row for row in rows if isinstance(row, Mapping)]
    unsure = [row for row in kept if not _always(row)]
    first, *rest = judged.sentences
    if not unsure:
        told = {row["limit"] for row in kept} >= _limits(judged)
        said = f"{first}, within tolerances too" if told else first
        return replace(judged, sentences=(said, *rest))
    said = f"as drawn up {first}; within tolerances not always: {'; '.join(map(_words, unsure))}"
    record: dict[str, Json] = {**judged.record, "verdict": "cannot tell", "verdict_as_drawn_up": "pass"}
    return replace(judged, record=record, sentences=(said, *rest))


def _limits(judged: Chapter) -> set[Json]:
    rows = judged.record["limits"]
    return {row["limit"] for row in rows if isinstance(row, Mapping)} if isinstance(rows, list) else set()


def _always(row: Mapping[str, Json]) -> bool:
    return row["passes"] == "in all" or (row["passes"] != "cannot tell" and row["passes_at_least_percent"] == SURE)


def _words(row: Mapping[str, Json]) -> str:
    of = f" of {row['of']}" if row["of"] else ""
    frequency = row["frequency_hz"]
    at = f" at {frequency_words(frequency)}" if isinstance(frequency, float) else ""
    return f"{str(row['limit']).replace('_', ' ')}{of}{at} {row['passes']}"
