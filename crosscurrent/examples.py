"""The shipped cases: what each asks, and copies of them to work on."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from importlib.resources import files
from pathlib import Path
from typing import Any

from crosscurrent.casefile.quantities import nearest
from crosscurrent.geometries.errors import UnknownKey

from .folders import OutputError

FILES = ("file", "open", "short")  # keys that name a file
HOME = "crosscurrent"  # the package beside whose code the cases travel


@dataclass(frozen=True)
class Example:
    """A shipped case.

    Attributes
    ----------
    name : str
        Of its file, without the ending.
    title, question, answer : str
    text : str
        The case file.
    """

    name: str
    title: str
    question: str
    answer: str
    text: str

    @property
    def files(self) -> tuple[str, ...]:
        """Drawings and data that the case reads, with their folders."""
        return tuple(dict.fromkeys(_named(tomllib.loads(self.text))))


def shipped() -> tuple[Example, ...]:
    """All shipped cases by their names.

    Examples
    --------
    >>> [example.name for example in shipped()][:2]
    ['bar-count', 'bench-box']
    """
    ending = ".toml"
    found = {e.name.removesuffix(ending): e for e in _folder().iterdir() if e.name.endswith(ending)}
    return tuple(_read(name, found[name].read_text(encoding="utf-8")) for name in sorted(found))


def known(name: str) -> Example:
    """The shipped case of a name, with or without its ending.

    Raises
    ------
    UnknownExample
        There is none; with the nearest name.
    """
    every = {example.name: example for example in shipped()}
    word = name.removesuffix(".toml")
    if word not in every:
        near = nearest(word, every)
        hint = f'did you mean "{near}"?' if near else f"the shipped cases are {', '.join(every)}"
        raise UnknownExample(f'no shipped case "{name}"; {hint}')
    return every[word]


class UnknownExample(UnknownKey, ValueError):
    """A name that no shipped case has."""


def copied(example: Example, folder: Path) -> tuple[str, ...]:
    """Copy a case with its drawings and data into a folder, all or nothing; returns the names of the files.

    Raises
    ------
    OutputError
        One of them is there already, or the folder cannot be written to.
    """
    contents = {f"{example.name}.toml": example.text.encode()}
    contents |= {name: _folder().joinpath(name).read_bytes() for name in example.files}
    there = [name for name in contents if (folder / name).exists()]
    if there:
        raise OutputError(f"{there[0]}: there is such a file already; go to another folder, or move it away")
    written: list[Path] = []
    try:
        for name, content in contents.items():
            path = folder / name
            path.parent.mkdir(parents=True, exist_ok=True)
            with path.open("xb") as stream:
                written.append(path)
                stream.write(content)
    except BaseException as error:  # also when stopped
        for path in written:
            path.unlink(missing_ok=True)
        if not isinstance(error, OSError):
            raise
        raise OutputError(f"{error.filename or folder}: cannot be written ({error.strerror})") from None
    return tuple(contents)


def _folder() -> Any:
    """The folder `cases`, in the package or, in a checkout without links, beside it."""
    inside = files(HOME).joinpath("cases")
    return inside if inside.is_dir() else Path(__file__).resolve().parent.parent / "cases"


def _read(name: str, text: str) -> Example:
    """Question and answer stand in the comments at the top."""
    head = []
    for line in text.splitlines():
        if not line.startswith("#"):
            break
        head.append(line.removeprefix("#").strip())
    question, _, answer = " ".join(head).partition("Answer:")
    title = tomllib.loads(text).get("title", name)
    question = question.removeprefix("Question:").strip()
    return Example(name, title, question[:1].upper() + question[1:], answer.strip(), text)


def _named(table: object) -> Iterator[str]:
    """What stands under a key of `FILES`, at any depth."""
    if isinstance(table, dict):
        for key, value in table.items():
            if key in FILES and isinstance(value, str):
                yield value
            else:
                yield from _named(value)
    elif isinstance(table, list):
        for value in table:
            yield from _named(value)
