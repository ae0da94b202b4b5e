"""Which conductors a word means: "outgoing", "outgoing.2", "outgoing.*", "go-*"."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

from crosscurrent.geometries.errors import CrosscurrentError

from .conductors import ConductorTable
from .quantities import nearest


def value(row: object, key: str) -> object:
    """A key of a table, be it a mapping or a model."""
    return row.get(key) if isinstance(row, Mapping) else getattr(row, key, None)


class UnknownName(CrosscurrentError):
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
    sound : mapping of int to ConductorTable
        Those that are valid, by their place in `written`.
    """

    def __init__(self, written: Sequence[object], sound: Mapping[int, ConductorTable]) -> None:
        # all conductors in the order of the file, each with what it consists of: copies by themselves, bundles whole
        self._every: list[tuple[str, tuple[str, ...]]] = []
        self._single: dict[str, tuple[str, ...]] = {}
        self._repeated: dict[str, dict[str, tuple[str, ...]] | None] = {}  # None: the number of copies is at fault
        for k, row in enumerate(written):
            name = value(row, "name")
            if k in sound:
                whole = {one.name: one.members for one in sound[k].bound} or {n: (n,) for n in sound[k].copies}
                self._every += whole.items()
                if tuple(whole) == (sound[k].name,):
                    self._single |= whole
                else:
                    self._repeated[sound[k].name] = whole
            elif isinstance(name, str):
                if isinstance(row, Mapping) and "repeat" in row:
                    self._repeated[name] = None
                else:
                    self._single[name] = (name,)
                    self._every.append((name, (name,)))
                    if value(row, "shape") in ("drawing", "mesh"):
                        self._repeated[name] = None  # how many outlines there would be is not known

    def members(self, word: str) -> tuple[str, ...]:
        """The conductors a word means.

        Raises
        ------
        UnknownName
            It means none; with what was expected instead and the nearest name.
        """
        if word in self._single:
            return self._single[word]
        if word in self._repeated:
            hint = f'write "{word}.1" for the first copy or "{word}.*" for all'
            raise UnknownName("the name of one copy or of all", hint)
        base, dot, which = word.rpartition(".")
        if dot and base in self._repeated:
            return self._copies(word, base, which)
        if dot and base in self._single:
            why = "is not repeated" if len(self._single[base]) == 1 else "is one bundle, whose strands go together"
            raise UnknownName("the name of a conductor", f'"{base}" {why}: write "{base}"')
        return self._matching(word) if "*" in word else self._unknown(word)

    def _copies(self, word: str, base: str, which: str) -> tuple[str, ...]:
        """One copy of a repeated conductor, or all."""
        copies = self._repeated[base]
        if copies is None:
            return ()
        if which == "*":
            return tuple(name for members in copies.values() for name in members)
        if word in copies:
            return copies[word]
        names = " to ".join(dict.fromkeys(f'"{name}"' for name in (next(iter(copies)), [*copies][-1])))
        expected = f'{names}, or "{base}.*" for all'
        raise UnknownName(expected, f'"{base}" is repeated with count = {len(copies)}')

    def _matching(self, word: str) -> tuple[str, ...]:
        """All conductors, copies too, whose names fit a word in which each star stands for any letters."""
        fits = re.compile(".*".join(map(re.escape, word.split("*")))).fullmatch
        found = [name for label, members in self._every if fits(label) for name in members]
        if found or any(copies is None and fits(f"{name}.1") for name, copies in self._repeated.items()):
            return tuple(found)
        hint = f"the conductors are {', '.join(self._known) or 'none'}"
        raise UnknownName("a word with * that fits at least one conductor", hint)

    def _unknown(self, word: str) -> tuple[str, ...]:
        near = nearest(word, self._known)
        hint = f'did you mean "{near}"?' if near else f"the conductors are {', '.join(self._known) or 'none'}"
        raise UnknownName("the name of a conductor", hint)

    @property
    def _known(self) -> list[str]:
        return [*sorted(self._single), *(f"{name}.*" for name in self._repeated)]
