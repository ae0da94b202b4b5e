"""The verdict of a comparison in words, and where its designs do not answer the same question."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from .compared_rows import ComparedDesign, ComparedRow, DesignVerdict, at, shared_frequencies
from .units import concise, frequency_words, temperatures

FEW = 4  # names or frequencies that a sentence lists
WARMER = 0.5  # difference of temperatures that is told [K]


def verdict_words(
    names: Sequence[str], verdicts: Sequence[DesignVerdict], rows: Sequence[ComparedRow]
) -> Iterator[str]:
    """Which design is best in what, which hold their limits, which fail and why."""
    left = [k for k, v in enumerate(verdicts) if v.standing != "fail"]
    praise = {k: _praise(rows, k) for k in left}
    if not left:
        yield "no design is left: all of them fail"
    elif len(left) == 1:
        yield f"only {names[left[0]]} is left: no other holds"
    elif not any(praise.values()):
        yield "no figure tells the designs apart within their error bars"
    for k in left:
        if praise[k]:
            yield f"best in {', '.join(praise[k])}: {names[k]}"
    for standing, words in (("fail", "is out"), ("cannot tell", "may stay or not")):
        for name, verdict in zip(names, verdicts, strict=True):
            if verdict.standing == standing:
                yield f"{name} {words}: {verdict.why}"
    for standing, words in (("pass", "limits hold"), ("none stated", "no limits stated")):
        alike = [name for name, v in zip(names, verdicts, strict=True) if v.standing == standing]
        if alike:
            yield f"{words}: {', '.join(alike)}"


def _praise(rows: Sequence[ComparedRow], design: int) -> list[str]:
    """What a design is best in, each with its frequencies unless it is so at all of them."""
    told = []
    for merit in dict.fromkeys(row.merit for row in rows if row.merit):
        alike = [row for row in rows if row.merit == merit]
        best = [row.at for row in alike if design in row.best]
        if best:
            told.append(merit if len(best) == len(alike) else f"{merit} at {_few(best)}")
    return told


def unlike(designs: Sequence[ComparedDesign]) -> Iterator[str]:
    """Where designs differ in what they were asked: frequencies, lengths, temperatures, currents, limits, prices."""
    shared = shared_frequencies(designs)
    own = {d.name: [p.frequency for p in d.points if p.frequency not in shared] for d in designs}
    if any(own.values()):
        more = (f"{name} also {_few([frequency_words(f) for f in found])}" for name, found in own.items() if found)
        yield f"unlike frequencies: compared at {_few([frequency_words(f) for f in shared])}; {'; '.join(more)}"
    lengths = {d.name: "not stated" if d.length is None else concise(d.length, "m") for d in designs}
    if len(set(lengths.values())) > 1:
        yield f"unlike lengths, the figures are per metre of run: {_each(lengths)}"
    for frequency in shared:
        warm = {d.name: ends for d in designs if (ends := _warmth(d, frequency))}
        if any(max(each) - min(each) > WARMER for each in zip(*warm.values(), strict=True)):
            told = {name: temperatures(*ends) for name, ends in warm.items()}
            yield f"unlike temperatures of the conductors at {frequency_words(frequency)}: {_each(told)}"
            break
    for name in dict.fromkeys(c for d in designs for p in d.points[:1] for c in p.circuits):
        sizes = {d.name: concise(abs(d.points[0].circuits[name].current), "A") for d in designs
                 if name in d.points[0].circuits}  # fmt: skip
        if len(set(sizes.values())) > 1:
            yield f"unlike currents of {name}: {_each(sizes)}"
    for key, words in (("limits", "judged by unlike [limits]"), ("prices", "unlike [prices]")):
        stated = [{path: v for path, v in d.settings.items() if path.startswith(f"{key}: ")} for d in designs]
        if any(one != stated[0] for one in stated):
            yield f"{words}: {_each({d.name: _stated(one, key) for d, one in zip(designs, stated, strict=True)})}"


def _warmth(design: ComparedDesign, frequency: float) -> tuple[float, float] | None:
    point = at(design, frequency)
    found = [c.temperature for c in point.conductors.values() if c.temperature is not None] if point else []
    return (min(found), max(found)) if found else None


def _stated(found: Mapping[str, str], key: str) -> str:
    return _few([f"{path.removeprefix(f'{key}: ')} {value}" for path, value in found.items()]) or "none"


def _each(told: Mapping[str, str]) -> str:
    return "; ".join(f"{name} {words}" for name, words in told.items())


def _few(words: Sequence[str]) -> str:
    return ", ".join(words[:FEW]) + (f" and {len(words) - FEW} more" if len(words) > FEW else "")
