"""The command `new`: a commented case file that runs."""

from __future__ import annotations

from pathlib import Path

from .app import CommandError, write_new


def new(*start: str, file: Path | None = None) -> None:
    """Write a commented case file that runs.

    Parameters
    ----------
    start
        Shapes, and what else the case is to have: three-phase, plating, sweep, or tables such as water, cooling, limits
        or fault. A single shape becomes a pair that carries the current out and back, or three phases.
    file
        Name of the new file; made of these words if left out. An existing file is never overwritten.

    Raises
    ------
    CommandError
        No word, an unknown one, a shape that needs a file, words that do not go together, or a file that is there.
    """
    from crosscurrent.casefile.faults import CaseError

    from .catalogue import CATALOGUE
    from .new_text import FURTHER, checked_text
    from .output import say

    if not start:
        known = f'shapes ("crosscurrent shapes" lists them) or {", ".join(FURTHER)}'
        raise CommandError(f"new: expected {known}; found none")
    words = [known_start(word) for word in start]
    shapes = [word for word in words if word in CATALOGUE]
    if filed := [name for name in shapes if CATALOGUE[name].of_file]:
        raise CommandError(f"new: a {filed[0]} needs its file; start from it: crosscurrent look FILE --case CASE")
    if "three-phase" in words and len(shapes) not in (0, 1, 3):
        raise CommandError(f"new: expected one shape for all three phases, or three; found {len(shapes)}")
    path = file or Path("-".join(dict.fromkeys(words)) + ".toml")
    try:
        text = checked_text(shapes, [word for word in words if word not in CATALOGUE], str(path))
    except CaseError as error:
        raise CommandError(f"new: {' '.join(words)} do not go together:\n{error}") from None
    write_new(path, text, "--file")
    say(f"Wrote {path}. Solve it with: crosscurrent run {path}")


def known_start(word: str) -> str:
    """A word that a new case can start from; or the nearest one in a message.

    Raises
    ------
    CommandError
    """
    from crosscurrent.casefile.quantities import nearest

    from .catalogue import CATALOGUE
    from .new_text import FURTHER

    known = (*CATALOGUE, *FURTHER)
    if word in known:
        return word
    near = nearest(word, known)
    hint = f'did you mean "{near}"? ' if near else ""
    raise CommandError(f'new: no shape or table "{word}"; {hint}known: {", ".join(known)}')
