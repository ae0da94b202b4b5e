"""The command `new`: a commented case file that runs."""

from __future__ import annotations

import tomllib
from collections.abc import Sequence
from pathlib import Path

from .app import CommandError, write_new


def new(*start: str, file: Path | None = None) -> None:
    """Write a commented case file that runs.

    Parameters
    ----------
    start
        Shapes, and what else the case is to have: three-phase, plating, sweep, or tables such as water, cooling, limits
        or fault. A single shape becomes a pair that carries the current out and back, or three phases. With axial, or a
        table of coils such as power, tank or heating: a coil of that shape round a billet.
    file
        Name of the new file; made of these words if left out. An existing file is never overwritten.

    Raises
    ------
    CommandError
        No word, an unknown one, a shape that needs a file, words that do not go together, or a file that is there.
    """
    from crosscurrent.casefile.faults import CaseError

    from .catalogue import CATALOGUE
    from .output import say

    if not start:
        known = f'shapes ("crosscurrent shapes" lists them) or {", ".join(_further())}'
        raise CommandError(f"new: expected {known}; found none")
    words = [known_start(word) for word in start]
    shapes = [word for word in words if word in CATALOGUE]
    if filed := [name for name in shapes if CATALOGUE[name].of_file]:
        raise CommandError(f"new: a {filed[0]} needs its file; start from it: crosscurrent look FILE --case CASE")
    path = file or Path("-".join(dict.fromkeys(words)) + ".toml")
    try:
        text = new_text(shapes, [word for word in words if word not in CATALOGUE], str(path))
    except CaseError as error:
        raise CommandError(f"new: {' '.join(words)} do not go together:\n{error}") from None
    write_new(path, text, "--file")
    say(f"Wrote {path}. Solve it with: crosscurrent run {path}")


def new_text(shapes: Sequence[str], further: Sequence[str], file: str) -> str:
    """The text of a new case that passes every check.

    Raises
    ------
    CommandError
        There are too many shapes, or a word that a section round an axis cannot have.
    CaseError
        Its words do not go together.

    Examples
    --------
    >>> "[cooling]" in new_text(["bar"], ["cooling"], "bars.toml")
    True
    >>> 'symmetry = "axial"' in new_text(["tube"], ["heating"], "coil.toml")
    True
    """
    from crosscurrent.casefile.axial_checks import AXIAL
    from crosscurrent.casefile.case import checked_case

    from .new_axial_text import FURTHER, SYMMETRY, axial_text
    from .new_text import case_text

    if {SYMMETRY, *AXIAL}.isdisjoint(further):
        if "three-phase" in further and len(shapes) not in (0, 1, 3):
            raise CommandError(f"new: expected one shape for all three phases, or three; found {len(shapes)}")
        text = case_text(shapes, file, further)
    else:
        if len(shapes) > 1:
            raise CommandError(f"new: expected one shape round an axis, that of the turns; found {len(shapes)}")
        if plane := [word for word in further if word not in (SYMMETRY, *FURTHER)]:
            known = ", ".join(FURTHER)
            raise CommandError(f'new: a section round an axis has no "{plane[0]}"; known: {known}')
        text = axial_text(shapes, file, further)
    checked_case(tomllib.loads(text))
    return text


def _further() -> tuple[str, ...]:
    """What a new case can have beside its shapes, of either symmetry."""
    from .new_axial_text import FURTHER as AXIAL_ONES
    from .new_axial_text import SYMMETRY
    from .new_text import FURTHER

    return tuple(dict.fromkeys((*FURTHER, SYMMETRY, *AXIAL_ONES)))


def known_start(word: str) -> str:
    """A word that a new case can start from; or the nearest one in a message.

    Raises
    ------
    CommandError
    """
    from crosscurrent.casefile.quantities import nearest

    from .catalogue import CATALOGUE

    known = (*CATALOGUE, *_further())
    if word in known:
        return word
    near = nearest(word, known)
    hint = f'did you mean "{near}"? ' if near else ""
    raise CommandError(f'new: no shape or table "{word}"; {hint}known: {", ".join(known)}')
