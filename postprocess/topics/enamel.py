"""Words on the enamel of strands that get hotter than it bears for long, or for the seconds of a fault."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from crosscurrent.postprocess.answers.chapter import Measured
from crosscurrent.solver.metals.wire_tables import CLASSES

# of a winding in air of class 155 or above at the end of a short circuit [degC]: IEC 60076-5, from memory
FOR_SECONDS = 350.0


def enamel_warnings(name: str, lasting: Iterable[Measured], short: Iterable[Measured]) -> Iterator[str]:
    """What the enamel of one bundle does not bear, for the hottest of each kind.

    Parameters
    ----------
    name : str
        Of the bundle.
    lasting, short : iterable of Measured
        Temperatures in service or as stated, and after faults; those not known say nothing.

    Examples
    --------
    >>> hot = [Measured(170.0, 0.0, "degC", "lead", "as stated")]
    >>> (line,) = enamel_warnings("lead", hot, [])
    >>> line.split(":")[0]
    'the strands of "lead" are at 170.0 degC (as stated)'
    >>> list(enamel_warnings("lead", [Measured(140.0, 5.0, "degC", "lead")], []))
    []
    """
    if (hot := _hottest(lasting)) is not None and (too_much := beyond_class(hot.highest)):
        yield f'the strands of "{name}" {_reach(hot, CLASSES[0][0])}: {too_much}'
    if (hot := _hottest(short)) is not None and hot.highest > FOR_SECONDS:
        yield (
            f'the strands of "{name}" {_reach(hot, FOR_SECONDS)}: more than the {FOR_SECONDS:g} degC that enamel of '
            "class 155 and above bears for seconds (IEC 60076-5 of windings in air, from memory)"
        )


def beyond_class(temperature: float) -> str | None:
    """What a lasting temperature [degC] is to enamel; None below the class that is usual.

    Examples
    --------
    >>> "take class 180 (polyesterimide, IEC 60317-8" in beyond_class(170.0), beyond_class(155.0)
    (True, None)
    """
    (usual, what), (highest, last) = CLASSES[0], CLASSES[-1]
    if temperature <= usual:
        return None
    none = f"none of the common ones does (up to class {highest}, {last}; all from memory)"
    better = (f"take class {c} ({which}; all from memory)" for c, which in CLASSES if temperature <= c)
    return f"more than enamel of the usual class {usual} ({what}) bears for long; {next(better, none)}"


def _hottest(figures: Iterable[Measured]) -> Measured | None:
    return max((m for m in figures if m.known), key=lambda m: m.highest, default=None)


def _reach(hot: Measured, bound: float) -> str:
    at, load = f"{hot.value:.1f} degC", f" ({hot.load})" if hot.load else ""
    return f"are at {at}{load}" if hot.value > bound else f"are at {at}{load}, and may reach {hot.highest:.1f} degC"
