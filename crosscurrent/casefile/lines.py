"""On which line of a TOML text each key stands: what neither tomllib nor pydantic can tell."""

from __future__ import annotations

import re
import tomllib
from bisect import bisect_left

Path = tuple[str | int, ...]

_BLANK = re.compile(r"(?:[ \t\r\n]|#[^\n]*)*")
_SPACE = re.compile(r"[ \t]*")
_BARE = re.compile(r"[A-Za-z0-9_-]+")
STRING = re.compile(
    r'"""(?:\\.|[^\\])*?"{3,5}'
    r"|'''.*?'{3,5}"
    r'|"(?:\\.|[^"\\\n])*"'
    r"|'[^'\n]*'",
    re.DOTALL,
)
_SCALAR = re.compile(r"[^,\]}#\n]*")


class LineIndex:
    """Lines of all keys and entries of a TOML text that tomllib accepts.

    Parameters
    ----------
    text : str
        The whole file.

    Examples
    --------
    >>> index = LineIndex('title = "x"\\n[[conductor]]\\nname = "go"\\ncentre = [\\n"0 mm",\\n"1 mm" ]')
    >>> index.line(("conductor", 0, "centre", 1)), index.line(("conductor", 0, "width"))
    (6, 2)
    """

    def __init__(self, text: str) -> None:
        self._text = text
        self._breaks = [found.start() for found in re.finditer("\n", text)]
        self._at = 0
        self._lines: dict[Path, int] = {}
        self._counts: dict[Path, int] = {}
        self._document()

    def line(self, path: Path) -> int | None:
        """Line of a path, counted from 1; of the nearest table around it when the path itself is not in the text."""
        for length in range(len(path), 0, -1):
            if path[:length] in self._lines:
                return self._lines[path[:length]]
        return None

    def _note(self, path: Path) -> None:
        self._lines.setdefault(path, bisect_left(self._breaks, self._at) + 1)

    def _document(self) -> None:
        table: Path = ()
        self._skip(_BLANK)
        while self._at < len(self._text):
            if self._text.startswith("[", self._at):
                table = self._header()
            else:
                self._pair(table)
            self._skip(_BLANK)

    def _header(self) -> Path:
        """A line [a.b] or [[a.b]]; the path of the table it opens."""
        start = self._at
        array = self._text.startswith("[[", self._at)
        self._at += 2 if array else 1
        words = self._key()
        end = self._at
        self._at = start
        path: Path = ()
        for depth, word in enumerate(words, start=1):
            path = (*path, word)
            self._note(path)
            if array and depth == len(words):
                self._counts[path] = self._counts.get(path, -1) + 1
            if path in self._counts:
                path = (*path, self._counts[path])
                self._note(path)
        self._at = end + (2 if array else 1)
        return path

    def _pair(self, table: Path) -> None:
        """One key = value, the key perhaps dotted."""
        start = self._at
        words = self._key()
        end, self._at = self._at, start
        for depth in range(len(words)):
            self._note((*table, *words[: depth + 1]))
        self._at = end + 1  # the equals sign
        self._value((*table, *words))

    def _key(self) -> list[str]:
        words = []
        while True:
            self._skip(_SPACE)
            quoted = self._text[self._at] in "\"'"
            start = self._at
            self._skip(STRING if quoted else _BARE)
            word = self._text[start : self._at]
            words.append(str(tomllib.loads(f"x = {word}")["x"]) if quoted else word)
            self._skip(_SPACE)
            if not self._text.startswith(".", self._at):
                return words
            self._at += 1

    def _value(self, path: Path) -> None:
        self._skip(_SPACE)
        first = self._text[self._at]
        if first == "[":
            self._entries(path, "]")
        elif first == "{":
            self._entries(path, "}")
        else:
            self._skip(STRING if first in "\"'" else _SCALAR)

    def _entries(self, path: Path, close: str) -> None:
        """The inside of an array (close "]") or of an inline table (close "}")."""
        self._at += 1
        count = 0
        while True:
            self._skip(_BLANK)
            if self._text.startswith(close, self._at):
                self._at += 1
                return
            if close == "}":
                self._pair(path)
            else:
                self._note((*path, count))
                self._value((*path, count))
            count += 1
            self._skip(_BLANK)
            if self._text.startswith(",", self._at):
                self._at += 1

    def _skip(self, pattern: re.Pattern[str]) -> None:
        match = pattern.match(self._text, self._at)
        assert match is not None, "LineIndex is for text that tomllib accepts"
        self._at = match.end()
