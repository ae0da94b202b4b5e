"""Which conductors a circuit's word means: "outgoing", "outgoing.2", "outgoing.*"."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from .quantities import nearest

if TYPE_CHECKING:
    from .model import Common


def value(row: Any, key: str) -> Any:
    """A key of a table, be it a mapping or a model."""
    return row.get(key) if isinstance(row, Mapping) else getattr(row, key, None)


class UnknownName(Exception):
    """A word that names no conductor; never leaves this room."""

    def __init__(self, expected: str, hint: str) -> None:
        super().__init__(expected)
        self.expected, self.hint = expected, hint


class Roster:
    """All names of a case's conductors, those of faulty conductors included.

    Parameters
    ----------
    written : sequence
        The conductors as written, mappings or models.
    sound : mapping of int to Common
        Those that are valid, by their place in `written`.
    """

    def __init__(self, written: Sequence[Any], sound: Mapping[int, Common]) -> None:
        self._single: set[str] = set()
        self._repeated: dict[str, tuple[str, ...] | None] = {}  # None: the number of copies is at fault
        for k, row in enumerate(written):
            name = value(row, "name")
            if k in sound and tuple(sound[k].copies) != (sound[k].name,):
                self._repeated[sound[k].name] = tuple(sound[k].copies)
            elif isinstance(name, str):
                if k not in sound and isinstance(row, Mapping) and "repeat" in row:
                    self._repeated[name] = None
                else:
                    self._single.add(name)
                    if k not in sound and value(row, "shape") in ("drawing", "mesh"):
                        self._repeated[name] = None  # how many outlines there would be is not known

    def members(self, word: str) -> tuple[str, ...]:
        """The conductors a word means.

        Raises
        ------
        UnknownName
            It means none; with what was expected instead and the nearest name.
        """
        if word in self._single:
            return (word,)
        if word in self._repeated:
            hint = f'write "{word}.1" for the first copy or "{word}.*" for all'
            raise UnknownName("the name of one copy or of all", hint)
        base, dot, which = word.rpartition(".")
        if dot and base in self._single and base not in self._repeated:
            raise UnknownName("the name of a conductor", f'"{base}" is not repeated: write "{base}"')
        if not dot or base not in self._repeated:
            return self._unknown(word)
        copies = self._repeated[base]
        if copies is None:
            return ()
        if which == "*":
            return copies
        if word in copies:
            return (word,)
        expected = f'"{copies[0]}" to "{copies[-1]}", or "{base}.*" for all'
        raise UnknownName(expected, f'"{base}" is repeated with count = {len(copies)}')

    def _unknown(self, word: str) -> tuple[str, ...]:
        known = [*sorted(self._single), *(f"{name}.*" for name in self._repeated)]
        near = nearest(word, known)
        hint = f'did you mean "{near}"?' if near else f"the conductors are {', '.join(known) or 'none'}"
        raise UnknownName("the name of a conductor", hint)
